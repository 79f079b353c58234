import fc from "fast-check";
import { expect, test } from "vitest";
import { textTable, wrapText } from "../../src/paper/text-table.js";

test("a table has a rule under its head, numbers on the right, and long cells on more lines", () => {
  const columns = [
    { head: "Qty", align: "right" as const },
    { head: "Part", most: 9 },
  ];
  expect(
    textTable(columns, [
      ["2", "74HC163"],
      ["11", "one hundred"],
    ]),
  ).toBe(["Qty  Part", "────────────", "  2  74HC163", " 11  one", "     hundred"].join("\n"));
});

test("wrapped text keeps every character but the spaces, within its width", () => {
  fc.assert(
    fc.property(fc.string(), fc.integer({ min: 1, max: 30 }), (text, most) => {
      const lines = wrapText(text, most);
      expect(lines.every((line) => line.length <= most)).toBe(true);
      expect(lines.join("").replace(/\s/g, "")).toBe(text.replace(/\s/g, ""));
    }),
  );
});
