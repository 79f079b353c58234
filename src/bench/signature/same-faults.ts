import type { Circuit } from "../../circuit/index.js";

/** Changes whenever signatures of old and new would not be the same. */
const FORMAT = "signatures 3";

/** The same text for circuits, and ways of simulating them, in which the same faults bring about the same. */
export function sameFaultsText({ chips, raster, inputs, picture, nets }: Circuit, options: string): string {
  const wired = chips.map(({ ref, part, nets: own }) => [
    ref,
    part.number,
    part.behaviour,
    part.package.pins,
    [...own].map(([pin, net]) => [pin, net.name]),
  ]);
  return JSON.stringify([FORMAT, options, wired, raster, inputs, picture, nets.map(({ name }) => name)]);
}
