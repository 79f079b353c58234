import { expect, test } from "vitest";
import { CELLS_HIGH, CELLS_WIDE, type Fault, type Look } from "../../../src/bench/index.js";
import { report } from "../../../src/paper/report.js";
import { boardFrom, harbourLamp } from "../board-fixture.js";
import { mistakesIn, reachesOut } from "../html-mistakes.js";

const fault = (text: string): Fault => ({ id: text, kind: "missing", edit: {} as Fault["edit"], text, wires: [] });
const faults = Array.from({ length: 90 }, (_, index) => fault(`Wire ${index} is missing.`));

/** A screen with a few bright rows, each look in another place. */
function lit(number: number, text: string, own: readonly number[], isUsual = false): Look {
  const cells = new Uint8Array(CELLS_WIDE * CELLS_HIGH * 3);
  cells.fill(255, 3 * 70 * number, 3 * 70 * number + 3 * CELLS_WIDE * 4);
  return { number, text, faults: own, isUsual, screen: { locked: true, lineHz: 31469, frameHz: 59.94, cells } };
}

const black = {
  locked: true,
  lineHz: 31469,
  frameHz: 59.94,
  cells: new Uint8Array(CELLS_WIDE * CELLS_HIGH * 3),
} as const;
const noSync = "No picture: there is no horizontal sync.";
const looks: Look[] = [
  lit(1, "The picture is right.", [0, 1, 2], true),
  { number: 2, text: noSync, faults: [3, 4], isUsual: false, screen: { locked: false, reason: "no horizontal sync" } },
  ...Array.from({ length: 60 }, (_, index) => lit(index + 3, "The picture is scrambled.", [index + 5])),
  { ...lit(64, "The screen is black.", [72, 73, 74, 75]), screen: black },
  { ...lit(65, "The screen is black.", [76]), screen: black },
  lit(63, "There is no red in the picture.", [70, 71]),
];

const html = report({
  circuit: boardFrom(harbourLamp),
  file: "lamp.yaml",
  madeBy: "dotwright",
  gallery: { faults, looks: [...looks].sort((a, b) => b.faults.length - a.faults.length) },
});
const chapter = html.slice(html.indexOf('id="gallery"'), html.indexOf('id="checks"') >>> 0);

test("the gallery tells screens without a picture in a table, and shows the commonest others by their numbers", () => {
  expect(chapter).toContain("90 single faults of the wiring were tried");
  expect(chapter).toContain("3 of them leave the picture as it is.");
  expect(chapter).toMatch(new RegExp(`<td class="number">2</td><td>${noSync}</td><td class="number">2</td>`));
  // Black screens cannot be told apart by looking.
  expect(chapter).toContain('<td class="number">64, 65</td><td>The screen is black.</td><td class="number">5</td>');
  const pictures = [...chapter.matchAll(/<img class="picture" src="data:image\/png;base64,([^"]+)"/g)];
  expect(pictures).toHaveLength(48);
  expect(new Set(pictures.map(([, data]) => data)).size).toBe(48);
  // 62 screens are wrong; those of the fewest faults are left to `diagnose`.
  expect(chapter).toContain("13 looks of one fault each are left out here.");
});

test("the gallery puts looks that are told in the same words together, and says of the others what one sees", () => {
  expect(chapter).toContain("<h3>The picture is scrambled.</h3>");
  expect(chapter).toContain(
    "<b>63</b> There is no red in the picture. 2 faults. Wire 70 is missing. Wire 71 is missing.",
  );
});

test("the gallery is valid HTML that reaches for nothing outside", async () => {
  expect(await mistakesIn(html)).toEqual([]);
  expect(reachesOut(html)).toEqual([]);
});
