import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Passive } from "../../src/circuit/index.js";
import { type DrivenNetwork, cornersOf, levelOf, spanOf, voltsAt } from "../../src/electrical/network-levels.js";
import type { OutputDrive } from "../../src/electrical/output-drive.js";
import { ZERO, asNumber } from "../../src/electrical/rational.js";
import { buildCircuit } from "../support/build-circuit.js";

const circuit = buildCircuit({ chips: { U1: ["74HC04", "1A=IN 1Y=A 2A=IN 2Y=B"] } });
const [chip] = circuit.chips;
if (!chip) throw new Error("no chip");

function drive(weakOhms: number, weakVolts: number): OutputDrive {
  const source = { publisher: "none", document: "made for a test", fromMemory: false };
  const weak = { volts: weakVolts, ohms: weakOhms };
  return {
    pin: { chip: chip as (typeof circuit.chips)[number], pin: "1Y" },
    supply: { min: 4.5, max: 5.5 },
    high: { weak, strong: { volts: 0, ohms: 0 } },
    low: { weak: { volts: 0, ohms: weakOhms / 2 }, strong: { volts: 0, ohms: 0 } },
    promised: 0.01,
    isOhmic: true,
    highSource: source,
    lowSource: source,
  };
}

const resistor = (ref: string, amount: number, from: string, to: string): Passive => ({
  ref,
  kind: "resistor",
  value: "",
  amount,
  tolerance: 0.05,
  nets: [from, to],
  note: "",
});

/** Two outputs into a node of a ladder and on to the cable, with a resistor to ground and one to the supply. */
const anyNetwork = fc
  .record({
    ohms: fc.tuple(...[1, 2, 3, 4, 5].map(() => fc.integer({ min: 10, max: 5000 }))),
    weak: fc.tuple(fc.integer({ min: 1, max: 300 }), fc.integer({ min: 0, max: 20 })),
  })
  .map(({ ohms: [a = 1, b = 1, c = 1, d = 1, e = 1], weak: [weakOhms, tenths] }): DrivenNetwork => ({
    resistors: [
      resistor("R1", a, "A", "N"),
      resistor("R2", b, "B", "CABLE"),
      resistor("R3", c, "N", "CABLE"),
      resistor("R4", d, "N", "low"),
      resistor("R5", e, "CABLE", "high"),
    ],
    drives: new Map([
      ["A", drive(weakOhms, tenths / 10)],
      ["B", drive(weakOhms, tenths / 10)],
    ]),
    rails: new Map([
      ["high", "high"],
      ["low", "low"],
    ]),
    loads: new Map([["CABLE", 75]]),
  }));

describe("the limits of a level", () => {
  test("are at corners: nothing between them goes beyond", () => {
    const share = fc.integer({ min: 0, max: 100 }).map((percent) => percent / 100);
    fc.assert(
      fc.property(
        anyNetwork,
        fc.array(share, { minLength: 8, maxLength: 8 }),
        fc.constantFrom<readonly string[]>([], ["A"], ["B"], ["A", "B"]),
        (network, shares, high) => {
          const code = new Set(high);
          const corners = cornersOf(network) ?? [];
          const { min, max } = spanOf(levelOf(network, "CABLE", code, corners));
          const [supply = 0, weakA = 0, weakB = 0, ...factors] = shares;
          const inside = {
            supply: 4.5 + supply,
            weakness: new Map([
              ["A", weakA],
              ["B", weakB],
            ]),
            factors: new Map(factors.map((one, at) => [`R${at + 1}`, 0.95 + 0.1 * one])),
          };
          const level = asNumber(voltsAt(network, code, inside).get("CABLE") ?? ZERO);
          expect(level).toBeGreaterThanOrEqual(min - 1e-9);
          expect(level).toBeLessThanOrEqual(max + 1e-9);
        },
      ),
      { numRuns: 12 },
    );
  });

  test("are not gone through for more than twelve things that may be off", () => {
    const resistors = Array.from({ length: 11 }, (_, at) => resistor(`R${at}`, 1000, "A", "CABLE"));
    const network: DrivenNetwork = {
      resistors,
      drives: new Map([["A", drive(30, 0)]]),
      rails: new Map(),
      loads: new Map([["CABLE", 75]]),
    };
    expect(cornersOf(network)).toBeUndefined();
    expect(cornersOf({ ...network, resistors: resistors.slice(1) })).toHaveLength(2 ** 12);
  });
});
