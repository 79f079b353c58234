import { describe, expect, it } from "vitest";
import {
  type Fault,
  type Observation,
  Suspicion,
  faultBenchOf,
  readObservation,
  simulateEdits,
} from "../../src/bench/index.js";
import { chaser } from "./chaser.js";

const bench = faultBenchOf(chaser());
const pinOf = (name: string) => bench.board.find(name)?.id ?? -1;
/** The second flip-flop's data are on its clock: not on the list of single faults, since two pins must be mistaken for it. */
const race: Fault = {
  id: "race",
  kind: "misplaced",
  edit: {
    cut: [bench.board.wires.find(({ to }) => to === pinOf("U1.12"))?.id ?? -1],
    join: [[pinOf("U1.12"), pinOf("U1.11")]],
  },
  text: "U1.12 2D is on the clock.",
  wires: [],
};
const faults = [...bench.faults, race];
const suspicion = new Suspicion(
  bench,
  simulateEdits(
    bench,
    faults.map(({ edit }) => edit),
  ),
  faults,
);

function faultNamed(text: string): number {
  const found = faults.findIndex((fault) => fault.text === text);
  if (found < 0) throw new Error(`no fault '${text}'`);
  return found;
}

function measured(...texts: readonly string[]): readonly Observation[] {
  return texts.map((text) => {
    const found = readObservation(bench.board, text);
    if ("problem" in found) throw new Error(found.problem);
    return found;
  });
}

/** Place of a fault among the suspects, from 0. */
function place(fault: number, observations: readonly Observation[]): number {
  return suspicion.rankOf(suspicion.weigh(observations), fault);
}

// What comes of each fault is worked out by hand: the counter goes round at 500 kHz, so that bit 0 has 250 kHz, bit 1 125 kHz.
describe("what a fault leaves open", () => {
  it("keeps two outputs that touch under suspicion whichever of them wins", () => {
    const fault = faultNamed("U2.13 QB and U2.14 QA touch.");
    // Low wins: high where both bits are, a quarter of the time. High wins: low where both are.
    for (const share of ["25 %", "75 %"]) {
      const found = measured(`U2.14=125 kHz ${share}`, `U2.13=125 kHz ${share}`);
      expect(suspicion.explains(fault, found)).toBe(true);
      expect(place(fault, found)).toBeLessThan(3);
    }
    expect(suspicion.explains(fault, measured("U2.14=62.5 kHz"))).toBe(false);
  });

  it("keeps a loop that swings under suspicion whether it is seen to swing, to rest, or at no level", () => {
    // The inverter works against what drives its input: high through one, low through the other.
    const fault = faultNamed("U6.3 2A and U6.4 2Y touch.");
    for (const value of ["37 MHz", "11 MHz 40 %", "low", "high", "open"]) {
      const found = measured(`U6.3=${value}`, `U6.4=${value}`);
      expect(suspicion.explains(fault, found)).toBe(true);
    }
    // Swinging so fast it is alone.
    expect(place(fault, measured("U6.3=37 MHz", "U6.4=37 MHz"))).toBe(0);
  });

  it("keeps a flip-flop whose data come with its clock under suspicion whichever it takes", () => {
    // Data that are still low a set-up time before the edge are taken as low; where the edge is late, they are high.
    const fault = faultNamed(race.text);
    for (const taken of ["low", "high"]) {
      const found = measured(`U1.9=${taken}`, "U1.12=1 MHz 50 %");
      expect(suspicion.explains(fault, found)).toBe(true);
      expect(place(fault, found)).toBeLessThan(3);
    }
    expect(suspicion.explains(fault, measured("U1.9=500 kHz"))).toBe(false);
  });

  it("lets what is open at one place go otherwise than what is open at another", () => {
    const [fight, level] = [faultNamed("U2.13 QB and U2.14 QA touch."), faultNamed("U6.3 2A and U6.4 2Y touch.")];
    const both = measured("U2.14=125 kHz 25 %", "U2.13=125 kHz 75 %");
    expect([fight, level].map((fault) => suspicion.explains(fault, both))).toEqual([true, false]);
  });
});
