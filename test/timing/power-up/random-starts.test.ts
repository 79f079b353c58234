import { describe, expect, test } from "vitest";
import { randomFor } from "../../../src/simulation/random.js";
import { leastCommonMultiple } from "../../../src/timing/power-up/course.js";
import { powerUp } from "../../../src/timing/power-up/power-up.js";
import { chipOf } from "../../support/build-circuit.js";
import { circuitOfSketch, printSketch } from "../../support/clocked-circuit.js";
import { type UnitDelays, SlowBoard, conesOf, everyNext, fateOf } from "../../support/every-start.js";
import { randomSketch } from "../../support/random-clocked-circuit.js";

/** Three boards of one circuit: where they do not go the same way, the order of changes decides. */
const boards: readonly UnitDelays[] = [
  () => 1,
  ...[1, 2].map((seed) => (key: string) => 1 + Math.floor(30 * randomFor(key, seed))),
];

/** What following every start state one at a time, and the analysis, say of one random circuit. */
function compare(seed: number, mostBits: number) {
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

function compareAll(seeds: number, mostBits: number) {
  return Array.from({ length: seeds }, (_, seed) => compare(seed + 1, mostBits)).filter((one) => one !== undefined);
}

describe("random clocked circuits, from every state of their storage", { timeout: 120_000 }, () => {
  const compared = compareAll(400, 7);

  test("come to one cycle exactly where following each state by itself finds one", () => {
    const wrong = compared.filter(
      ({ fates, found }) => fates.every(({ cycles }) => cycles === 1) !== (found.obstacles.length === 0),
    );
    expect(wrong.map(({ text }) => text)).toEqual([]);
    expect(compared.filter(({ found }) => found.obstacles.length === 0).length).toBeGreaterThan(30);
    expect(compared.filter(({ found }) => found.obstacles.length > 0).length).toBeGreaterThan(30);
  });

  test("are in it no later than the analysis says, and mostly just then", () => {
    const holding = compared.filter(({ found }) => found.obstacles.length === 0);
    const late = ({ fates, found }: (typeof holding)[number]) =>
      Math.max(0, ...fates.map(({ periods }) => periods ?? Infinity)) - found.ticks;
    expect(holding.filter((one) => late(one) > 0).map(({ text }) => text)).toEqual([]);
    expect(holding.filter((one) => late(one) === 0).length).toBeGreaterThan(0.7 * holding.length);
  });

  test("repeat after as many periods", () => {
    const holding = compared.filter(({ found }) => found.obstacles.length === 0);
    const wrong = holding.filter(
      ({ fates, found }) =>
        fates.reduce((ticks, { cyclePeriods }) => leastCommonMultiple(ticks, cyclePeriods), 1) !== found.cycleTicks,
    );
    expect(wrong.map(({ text }) => text)).toEqual([]);
  });
});
