import { describe, expect, test } from "vitest";
import { growthCircuit } from "../../bench/growth-circuit.js";
import { ProofStopped, prove } from "../../src/timing/index.js";

const circuit = growthCircuit({ counters: 2, groups: 1 });

describe("a proof that is not wanted any more", () => {
  test("stops when it is told so, whatever it was about to look at", () => {
    for (const after of [1, 2, 10]) {
      let asked = 0;
      expect(() => prove(circuit, { onProgress: () => ++asked < after })).toThrow(ProofStopped);
      expect(asked).toBe(after);
    }
  });

  test("stops when its signal is aborted", () => {
    const control = new AbortController();
    const { signal } = control;
    const onProgress = () => {
      control.abort();
      return true;
    };
    expect(() => prove(circuit, { signal, onProgress })).toThrow(ProofStopped);
    expect(() => prove(circuit, { signal })).toThrow(ProofStopped);
  });

  test("asks at least once for every 32 situations that it works out", () => {
    let asked = 0;
    const { work } = prove(circuit, {
      onProgress: () => {
        asked++;
        return true;
      },
    });
    expect(work?.situations).toBeGreaterThan(500);
    expect(32 * asked).toBeGreaterThanOrEqual(work?.situations ?? Infinity);
  });
});
