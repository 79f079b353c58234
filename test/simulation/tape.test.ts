import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { NetId } from "../../src/circuit/circuit.js";
import { type Value, Tape, twoLevels } from "../../src/simulation/index.js";

const net = 0 as NetId;

/** Values at each of the times 0, 1, 2 ... of a random record. */
const records = fc.array(fc.constantFrom<Value>(0, 1, 2, 3), { minLength: 1, maxLength: 300 });

function tapeOf(values: readonly Value[]): Tape {
  const tape = new Tape(net, 0, values[0] ?? 0);
  values.forEach((value, time) => {
    if (time > 0 && value !== values[time - 1]) tape.add(time, value);
  });
  return tape;
}

describe("the record of a net", () => {
  it("tells the value at every time", () => {
    fc.assert(
      fc.property(records, (values) => {
        const tape = tapeOf(values);
        expect(values.map((_, time) => tape.valueAt(time))).toEqual(values);
        expect(values.map((_, time) => tape.valueAt(time + 0.5))).toEqual(values);
      }),
    );
  });

  it("reads as two levels with unknown and undriven as low, and says how long they lasted", () => {
    fc.assert(
      fc.property(records, (values) => {
        const { wave, unknownFs } = twoLevels(tapeOf(values), values.length);
        const levels = values.map((_, time) => {
          const changes = wave.timesFs.filter((change) => change <= time).length;
          return (wave.initial + changes) % 2;
        });
        expect(levels).toEqual(values.map((value) => (value === 1 ? 1 : 0)));
        expect(unknownFs).toBe(values.filter((value) => value > 1).length);
      }),
    );
  });
});
