import { describe, expect, it, vi } from "vitest";
import { fs } from "../../src/quantity/index.js";
import { powerUpBoard } from "../../src/simulation/index.js";
import { openBoard } from "../examples/board.js";

vi.setConfig({ testTimeout: 120_000 });

/** Runs a board for a millisecond while the processor writes; what was not as it should be. */
function run(name: string, seed: number) {
  const { simulator, watch, released } = powerUpBoard(openBoard(name), {
    delays: { seed, spread: "ends" },
    seed,
    busy: true,
    watch: true,
  });
  simulator.run(fs(released + 1e12));
  const [memory] = simulator.memories;
  const violations = watch?.violations ?? [];
  return {
    violations: violations.filter(({ asynchronous }) => !asynchronous),
    synchronisers: violations.filter(({ asynchronous }) => asynchronous).map(({ chip, pin }) => `${chip.ref} ${pin}`),
    notWatched: watch?.missing,
    writes: memory?.writeCount ?? 0,
    strays: memory?.strayCount ?? 0,
    contentions: simulator.contentions.count,
    standIns: simulator.standIns,
  };
}

describe("boards whose delays stand at the ends of their limits", () => {
  it.each(["tide-board", "tide-board-wide-fast"])("of the kind %s do all that their chips ask for", (name) => {
    for (const seed of [1, 2, 3]) {
      const { writes, synchronisers, ...rest } = run(name, seed);
      const sound = { violations: [], notWatched: [], strays: 0, contentions: 0, standIns: [] };
      expect(rest).toEqual(sound);
      expect(writes).toBeGreaterThan(100);
      expect(synchronisers.every((pin) => pin === "U24 1D")).toBe(true);
    }
  });

  it("of the kind tide-board-wide are too slow at the ring, the shift register and the memory", () => {
    const chips = new Set(run("tide-board-wide", 3).violations.map(({ chip }) => chip.ref));
    expect([...chips].sort()).toEqual(expect.arrayContaining(["U2", "U25", "U26", "U3"]));
  });

  it("of the kind tide-board-loader let two drivers fight and write stray cells", () => {
    const { contentions, strays, violations } = run("tide-board-loader", 1);
    expect(contentions).toBeGreaterThan(0);
    expect(strays).toBeGreaterThan(0);
    expect(violations.map(({ rule }) => rule)).toContain("memory write");
  });
});
