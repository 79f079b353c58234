import { describe, expect, test } from "vitest";
import { dark, light, type Palette } from "../../src/paper/palette.js";

/** Contrast ratio as WCAG 2.2 defines it (definitions of contrast ratio and relative luminance). */
function contrast(a: string, b: string): number {
  const luminance = (colour: string) => {
    const [r = 0, g = 0, blue = 0] = [1, 3, 5].map((at) => {
      const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * blue;
  };
  const [low = 0, high = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}

test("black on white has the greatest contrast that there is, 21 to 1", () => {
  expect(contrast("#000000", "#FFFFFF")).toBeCloseTo(21);
});

describe.each<[string, Palette]>([
  ["light", light],
  ["dark", dark],
])("the %s palette", (_, palette) => {
  test.each(["ink", "quiet", "fails", "holds", "asks"] as const)(
    "has %s readable on paper: 4.5 to 1 or more",
    (name) => {
      expect(contrast(palette[name], palette.paper)).toBeGreaterThanOrEqual(4.5);
    },
  );
});

test("printed on white paper every colour is readable", () => {
  for (const name of ["ink", "quiet", "fails", "holds", "asks"] as const) {
    expect(contrast(light[name], "#FFFFFF")).toBeGreaterThanOrEqual(4.5);
  }
});
