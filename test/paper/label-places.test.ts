import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { packRows } from "../../src/paper/row-packing.js";
import { spreadLabels } from "../../src/paper/spread-labels.js";
import { fitText, textWidth } from "../../src/paper/text-width.js";

const extent = fc
  .tuple(fc.double({ min: 0, max: 1000, noNaN: true }), fc.double({ min: 0.1, max: 300, noNaN: true }))
  .map(([left, width]) => ({ left, right: left + width }));

describe("rows", () => {
  test("never hold two items that overlap", () => {
    fc.assert(
      fc.property(fc.array(extent, { maxLength: 20 }), (items) => {
        const rows = packRows(items);
        const clashes = items.flatMap((a, i) =>
          items.filter((b, j) => i < j && rows[i] === rows[j] && a.left < b.right && b.left < a.right),
        );
        expect(clashes).toEqual([]);
      }),
    );
  });

  test("let items touch", () => {
    expect(
      packRows([
        { left: 0, right: 5 },
        { left: 5, right: 9 },
        { left: 4, right: 6 },
      ]),
    ).toEqual([0, 0, 1]);
  });
});

describe("labels along a line", () => {
  const label = fc.record({
    centre: fc.double({ min: 0, max: 500, noNaN: true }),
    size: fc.double({ min: 1, max: 60, noNaN: true }),
  });

  test("do not overlap, keep their order, and stay inside when there is room", () => {
    fc.assert(
      fc.property(fc.array(label, { maxLength: 12 }), (labels) => {
        const begins = spreadLabels(labels, 0, 500);
        const placed = labels
          .map(({ centre, size }, i) => ({ centre, begin: begins[i] ?? 0, end: (begins[i] ?? 0) + size }))
          .sort((a, b) => a.begin - b.begin);
        placed.slice(1).forEach((next, i) => {
          expect(next.begin).toBeGreaterThanOrEqual((placed[i]?.end ?? 0) - 1e-6);
          expect(next.centre).toBeGreaterThanOrEqual((placed[i]?.centre ?? 0) - 1e-6);
        });
        const fits = labels.reduce((sum, { size }) => sum + size, 0) <= 500;
        const inside = placed.every(({ begin, end }) => begin >= -1e-6 && end <= 500 + 1e-6);
        expect(inside || !fits).toBe(true);
      }),
    );
  });

  test("stay where they want to be when nothing is in the way", () => {
    expect(
      spreadLabels(
        [
          { centre: 100, size: 20 },
          { centre: 300, size: 40 },
        ],
        0,
        500,
      ),
    ).toEqual([90, 280]);
  });
});

test("a text that is too long ends in an ellipsis and fits", () => {
  fc.assert(
    fc.property(fc.string(), fc.double({ min: 0, max: 200, noNaN: true }), (text, width) => {
      expect(textWidth(fitText(text, width, 11, "sans"), 11, "sans")).toBeLessThanOrEqual(Math.max(width, 0));
    }),
  );
});
