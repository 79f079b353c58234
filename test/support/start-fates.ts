import { randomFor } from "../../src/simulation/random.js";
import { powerUp } from "../../src/timing/power-up/power-up.js";
import { chipOf } from "./build-circuit.js";
import { circuitOfSketch, printSketch } from "./clocked-circuit.js";
import { type UnitDelays, SlowBoard, conesOf, everyNext, fateOf } from "./every-start.js";
import { randomSketch } from "./random-clocked-circuit.js";

/** Three boards of one circuit: where they do not go the same way, the order of changes decides. */
const boards: readonly UnitDelays[] = [
  () => 1,
  ...[1, 2].map((seed) => (key: string) => 1 + Math.floor(30 * randomFor(key, seed))),
];

/**
 * What becomes of a random circuit from every state of its storage, as following each by itself finds it and as the proof does;
 * undefined where it has more bits than `mostBits`, or where the order of changes decides.
 */
export function compareFates(seed: number, mostBits: number) {
  const sketch = randomSketch(seed);
  const circuit = circuitOfSketch(sketch);
  const { bits } = new SlowBoard(circuit, () => 1);
  if (bits.length > mostBits) return undefined;
  const next = everyNext(circuit, boards);
  if (!next) return undefined;
  const fates = conesOf(circuit, bits).map((cone) => fateOf(next, cone));
  const found = powerUp(circuit, chipOf(circuit, "X1"));
  return { text: `seed ${seed}\n${printSketch(sketch)}`, fates, found };
}
