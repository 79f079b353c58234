import { expect, test } from "vitest";
import { sampleOf } from "../../../src/loading/index.js";
import { report } from "../../../src/paper/report.js";
import { filledBoard, parallelProcessor } from "../../loading/boards.js";
import { boardFrom, harbourLamp } from "../board-fixture.js";
import { mistakesIn, reachesOut } from "../html-mistakes.js";

const circuit = filledBoard({ processor: parallelProcessor() });
const sample = await sampleOf(circuit);
// Invented chips have no packages, so the rest of the book is of another board.
const lamp = boardFrom(harbourLamp);
const html = report({ circuit: lamp, file: "filled.yaml", madeBy: "dotwright", sample });
const chapter = html.slice(html.indexOf('id="memory"'));

test("the chapter of the memory says what it holds, where rows lie, how a byte is sent, and how long all take", () => {
  expect(chapter).toContain("40 x 30 dots in two colours");
  // 40 dots are five bytes; the beam's column counts eight bytes a row, bit 0 first.
  expect(chapter).toContain(
    "The top row lies at 0x0000 to 0x0004, its leftmost dot is bit 0, and each row begins 8 addresses",
  );
  // Intel's form (Hexadecimal Object File Format Specification, revision A): length, address, type, data, check sum.
  const [record = ""] = /:05000000[0-9A-F]{12}/.exec(chapter) ?? [];
  const bytes = Array.from({ length: 10 }, (_, at) => Number.parseInt(record.slice(1 + 2 * at, 3 + 2 * at), 16));
  expect(bytes.reduce((sum, byte) => sum + byte, 0) & 0xff).toBe(0);
  expect(chapter).toContain("WR# goes low");
  // 150 bytes, 400 ns from strobe to strobe at least; the last one need not wait for another.
  expect(chapter).toMatch(/150 bytes: 59\.\d+ µs/);
});

test("the page carries the whole image and the whole C, to be saved where the page is read on a screen", () => {
  const files = [...chapter.matchAll(/download="([^"]*)" href="data:text\/plain;charset=utf-8,([^"]*)"/g)];
  const byName = new Map(files.map(([, name, data = ""]) => [name, decodeURIComponent(data)]));
  expect(byName.get("image.hex")?.trimEnd().split("\n").at(-1)).toBe(":00000001FF");
  expect(byName.get("load.c")).toContain("void dw_load(void)\n{");
});

test("the chapter is valid HTML that reaches for nothing outside, and tells why where nothing is known", async () => {
  expect(await mistakesIn(html)).toEqual([]);
  expect(reachesOut(html)).toEqual([]);
  const unknown = report({
    circuit: lamp,
    file: "f.yaml",
    madeBy: "dotwright",
    sample: { problem: "No monitor locks." },
  });
  expect(unknown).toContain("What the memory is to hold is not known. No monitor locks.");
});
