import { type ReadOptions, readCircuit } from "../../circuit/index.js";
import { NoProgress, simulateFrame } from "../../simulation/index.js";

/** What the monitor shows of a frame: the test card dot for dot, the raster that the file states but not the card, or neither. */
export type Pictured = (typeof kinds)[number];

/** From the worst to the best. */
const kinds = ["neither", "raster", "card"] as const;

/** The best first. */
export function byPicture(one: { readonly picture?: Pictured }, other: { readonly picture?: Pictured }): number {
  const rank = ({ picture = "neither" }: { readonly picture?: Pictured }) => kinds.indexOf(picture);
  return rank(other) - rank(one);
}

/**
 * Simulates one frame of a text's circuit with typical delays and a test card in its memory. Undefined where there is no
 * picture to look at, or where nobody knows the raster. A frame whose dots lie nowhere in a memory shows no card.
 */
export function pictureText(text: string, file: string, options: ReadOptions): Pictured | undefined {
  const { circuit } = readCircuit(text, file, options);
  if (!circuit?.picture) return undefined;
  try {
    const { monitor, raster, difference } = simulateFrame(circuit, { frames: 1 });
    if (!raster) return undefined;
    if (!monitor.locked || !monitor.against.meets) return "neither";
    return difference?.sameSize === true && difference.count === 0 ? "card" : "raster";
  } catch (error) {
    if (error instanceof NoProgress) return "neither";
    throw error;
  }
}
