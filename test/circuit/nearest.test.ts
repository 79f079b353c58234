import fc from "fast-check";
import { expect, test } from "vitest";
import { nearest } from "../../src/circuit/nearest.js";

test.each([
  ["CLKR", ["CLR#", "ENP", "RCO"], "CLR#"],
  ["CLR", ["CLK", "CLR#"], "CLR#"],
  ["clk", ["CLR#", "CLK"], "CLK"],
  ["HSYCN", ["VSYNC", "HSYNC"], "HSYNC"],
  ["rastor", ["title", "raster"], "raster"],
  ["DOT", ["DOT#"], "DOT#"],
])("%s was most likely meant to be the nearest of %j", (name, candidates, meant) => {
  expect(nearest(name, candidates)).toBe(meant);
});

test.each([
  ["A", ["B", "C"]],
  ["TIDE", ["LAMP", "HORN"]],
  ["X", []],
])("%s is near to none of %j", (name, candidates) => {
  expect(nearest(name, candidates)).toBeUndefined();
});

test("among equally near names the first is taken", () => {
  expect(nearest("PD", ["PA", "PB"])).toBe("PA");
  expect(nearest("PD", ["PB", "PA"])).toBe("PB");
});

test("one letter left out, doubled or exchanged with its neighbour is forgiven in every name of four letters or more", () => {
  const name = fc.stringMatching(/^[A-Z]{4,10}$/);
  fc.assert(
    fc.property(name, fc.nat(), (word, seed) => {
      const at = seed % (word.length - 1);
      const slips = [
        word.slice(0, at) + word.slice(at + 1),
        word.slice(0, at) + word.charAt(at) + word.slice(at),
        word.slice(0, at) + word.charAt(at + 1) + word.charAt(at) + word.slice(at + 2),
      ];
      const forgiven = slips.filter((slip) => slip === word || nearest(slip, [word]) === word);
      expect(forgiven).toEqual(slips);
    }),
  );
});
