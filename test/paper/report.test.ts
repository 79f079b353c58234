import { readFile } from "node:fs/promises";
import { describe, expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import { lockAnswer, pictureAnswer, slotAnswer } from "../../src/paper/answers.js";
import { report } from "../../src/paper/report.js";
import { wiringPage } from "../../src/paper/wiring-page.js";
import { drawTestCard, findRaster, watch } from "../../src/raster/index.js";
import { idealSignal } from "../raster/ideal-signal.js";
import { boardFrom, harbourLamp } from "./board-fixture.js";
import { memoryCycle } from "./cycle-fixture.js";
import { mistakesIn, reachesOut } from "./html-mistakes.js";
import { missing, readAccess, setUps, writePulse } from "./verdict-fixture.js";

const vga = findRaster("640x480@60");
if (!vga.found) throw new Error("the tables have no 640x480@60");
const seen = watch(idealSignal(vga.raster, drawTestCard(640, 480)));

const { circuit: tideBoard } = readCircuit(await readFile("examples/tide-board.circuit.yaml", "utf8"), "tide-board");
if (!tideBoard) throw new Error("the tide board cannot be read");

const whole = report({
  circuit: tideBoard,
  file: "tide-board.circuit.yaml",
  madeBy: "dotwright",
  verdicts: [...setUps, readAccess, missing, writePulse],
  cycle: memoryCycle,
  seen,
});

describe("the report", { timeout: 60_000 }, () => {
  test("is valid HTML", async () => {
    expect(await mistakesIn(whole)).toEqual([]);
  });

  test("is valid HTML when nothing has been worked out but the wiring", async () => {
    expect(
      await mistakesIn(report({ circuit: boardFrom(harbourLamp), file: "lamp.yaml", madeBy: "dotwright" })),
    ).toEqual([]);
  });

  test("needs no network and no scripts", () => {
    expect(reachesOut(whole)).toEqual([]);
  });

  test("answers first, then cautions, then the memory cycle, and the worst verdict before any other", () => {
    const headings = ["In short", "Before you start", "The memory cycle</h2>", "Does every slot fit?</h2>"];
    const places = headings.map((text) => whole.lastIndexOf(`>${text}`));
    expect(places).toEqual([...places].sort((a, b) => a - b));
    const table = whole.slice(whole.indexOf('id="slots"'));
    const verdicts = ["U25 WE#", "U9 ENP", "U26 A"].map((text) => table.indexOf(text));
    expect(verdicts).toEqual([...verdicts].sort((a, b) => a - b));
    expect([...places, ...verdicts].every((at) => at > 0)).toBe(true);
  });

  test("leads from every link to a place on the page", () => {
    const ids = new Set([...whole.matchAll(/ id="([^"]*)"/g)].map(([, id]) => id));
    for (const [, target] of whole.matchAll(/href="#([^"]*)"/g)) expect(ids).toContain(target);
  });

  test("marks assumed minima and figures from memory, and lists each source once", () => {
    expect(whole).toContain("4.25* to 44 ns");
    expect(whole).toContain("(from memory)");
    expect(whole.match(/<li id="source-\d+">Texas Instruments SCLS263/g)).toHaveLength(1);
    expect(whole).toContain("Where a sheet states no least delay, 25 % of the typical one counts");
  });

  test("adds up the chain of a verdict", () => {
    // 0 + 4.25 + 0 + 4 + 10 and 0 + 44 + 1 + 38 + 70 ns.
    expect(whole).toContain('in all <span class="mono">18.25 to 153 ns</span>');
  });

  test("shows the table of every check, worst first", () => {
    const table = whole.slice(whole.indexOf("Each rule at each place"));
    const margins = [...table.matchAll(/<td class="number">([−\d.]+)<\/td><td class="number">[\d,]+<\/td>/g)].map(
      ([, m]) => Number(m?.replace("−", "-")),
    );
    expect(margins).toEqual([...margins].sort((a, b) => a - b));
    expect(margins).toHaveLength(setUps.length + 2);
  });

  test("writes names from the file as text", () => {
    const board = boardFrom(harbourLamp.replace("note: column counter", 'note: "<script>alert(1)</script>"'));
    const html = report({ circuit: board, file: "<img>.yaml", madeBy: "dotwright" });
    expect(html).toContain("&lt;script&gt;");
    expect(html).not.toMatch(/<script|<img>/);
  });
});

test("the page of what to wire is valid HTML with a box to tick for every step", { timeout: 60_000 }, async () => {
  const html = wiringPage(tideBoard, "tide-board.circuit.yaml");
  expect(await mistakesIn(html)).toEqual([]);
  const [, steps] = /in (\d+) steps/.exec(html) ?? [];
  expect(html.match(/type="checkbox"/g)).toHaveLength(Number(steps));
});

describe("the answer to a question", () => {
  test("about slots names the least margin and where it is", () => {
    expect(slotAnswer([...setUps, readAccess])).toMatchObject({
      state: "holds",
      answer: "Yes: the least margin is 12.40 ns, memory read at U26 A.",
    });
  });

  test("about slots names the worst failure and counts what is not covered", () => {
    expect(slotAnswer([missing, ...setUps, writePulse])).toMatchObject({
      state: "fails",
      answer: "No: 1 check fails, worst write pulse at U25 WE#, short by 3.10 ns; 1 check not covered.",
    });
  });

  test("about slots never says yes while a figure is missing", () => {
    expect(slotAnswer([missing, ...setUps])).toMatchObject({
      state: "not covered",
      answer: "Not known: 1 check not covered, first hold at U9 ENP.",
    });
    expect(slotAnswer([])).toMatchObject({ state: "not covered" });
  });

  test("about the monitor gives the rates and the standard", () => {
    expect(lockAnswer(seen).answer).toBe(
      "Yes: 31.469 kHz, 59.94 Hz, inside the tolerance of VESA DMT 0x04 640x480@59.94.",
    );
    expect(pictureAnswer(seen)).toMatchObject({
      state: "holds",
      answer: "A picture of 640 by 480 dots, nothing out of place.",
    });
  });

  test("about the monitor says why there is no picture", () => {
    const dead = { initial: 1 as const, timesFs: new Float64Array() };
    const nothing = watch({ hsync: dead, vsync: dead, video: { kind: "mono", net: dead } });
    expect(lockAnswer(nothing)).toMatchObject({
      state: "fails",
      answer: "No: no horizontal sync. The horizontal sync net stays high.",
    });
  });
});
