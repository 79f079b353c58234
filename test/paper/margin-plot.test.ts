import { describe, expect, test } from "vitest";
import { drawMarginCurve, drawMarginRows } from "../../src/paper/margin-plot.js";

/** Numbers of an attribute, in the order of the drawing. */
function numbers(svg: string, pattern: RegExp): readonly number[] {
  return [...svg.matchAll(pattern)].map(([, value]) => Number(value));
}

describe("margin against a quantity", () => {
  const line = [
    { at: 8, margin: 2 },
    { at: 10, margin: 0 },
    { at: 12, margin: -2 },
  ];
  const curve = { name: "clock", title: "Margin against the clock", unit: "MHz", now: 8, line };

  test("has its proofs as circles on the line of their chains, and a failure as a triangle", () => {
    const { text } = drawMarginCurve({ ...curve, proved: line }, 320);
    const points = [...(/class="asks" d="M([^"]+)"/.exec(text)?.[1] ?? "").split("L")];
    const [x = [], y = []] = [/<circle[^>]+cx="([\d.]+)"/g, /<circle[^>]+cy="([\d.]+)"/g].map((one) =>
      numbers(text, one),
    );
    expect(x.map((at, index) => `${at} ${y[index]}`)).toEqual(points.slice(0, 2));
    expect(text.match(/class="fails-solid"/g)).toHaveLength(1);
  });

  test("is told in words to those who do not see it", () => {
    const { text } = drawMarginCurve({ ...curve, proved: line.slice(0, 2) }, 320);
    expect(text).toContain("The least margin as proved: 8 MHz: 2.00 ns; 10 MHz: 0.00 ns.");
  });
});

test("margins of several values stand on one scale, and what is not known stands in words", () => {
  const rows = [
    { label: "as it is", margin: 1, words: "1.00 ns" },
    { label: "25 °C", margin: 2, isLeast: true, words: "≥ 2.00 ns, holds" },
    { label: "5 V ± 10 %", margin: 1, fails: true, words: "levels fail" },
    { label: "-40 to 125 °C", words: "no figures" },
  ];
  const { text } = drawMarginRows({ name: "air", title: "Margin against the air temperature", rows }, 320);
  const [first = 0, second = 0] = numbers(text, /<circle[^>]+cx="([\d.]+)"/g);
  expect(second).toBeGreaterThan(first);
  expect(numbers(text, /<circle[^>]+cx="([\d.]+)"/g)).toHaveLength(2);
  expect(text.match(/class="fails-solid"/g)).toHaveLength(1);
  for (const words of ["no figures", "levels fail"]) expect(text).toContain(`>${words}</text>`);
});
