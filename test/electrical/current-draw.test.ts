import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Draw, amperesOf, faradsFor, sagOf } from "../../src/electrical/current-draw.js";

interface FctRow {
  readonly id: string;
  readonly source: string;
  readonly f0: number;
  readonly f1: number;
  readonly n1: number;
  readonly nT: number;
  readonly typ?: number;
  readonly max: number;
}

const worked = JSON.parse(readFileSync(new URL("../data/worked-power.json", import.meta.url), "utf8")) as {
  readonly fct: readonly FctRow[];
  readonly fctFigures: {
    readonly icc: readonly [number, number];
    readonly dIcc: readonly [number, number];
    readonly iccd: readonly [number, number];
    readonly share: number;
    readonly tolerance: number;
  };
  readonly capacitor: readonly { amperes: number; seconds: number; sag: number; farads: number }[];
  readonly curve: {
    readonly pF: number;
    readonly megahertz: number;
    readonly points: readonly { volts: number; mA: number }[];
  };
};

const nothing: Draw = { volts: 5.25, quiescent: 0, inside: [], loads: [], resistors: 0 };

describe("supply current", () => {
  const { fct, fctFigures: figures } = worked;
  test.each(fct)("is the published sum: $id", ({ f0, f1, n1, nT, typ, max }) => {
    const milliamps = (column: 0 | 1) => {
      const volts = nothing.volts;
      // The sheet gives mA per MHz, which is the capacitance times the supply.
      const farads = (figures.iccd[column] * 1e-9) / volts;
      const { total } = amperesOf({
        ...nothing,
        quiescent: figures.icc[column] / 1000,
        ttlInputs: { count: nT, each: figures.dIcc[column] / 1000, share: figures.share },
        inside: [{ farads, hertz: (f0 / 2) * 1e6 }, ...Array.from({ length: n1 }, () => ({ farads, hertz: f1 * 1e6 }))],
      });
      return total * 1000;
    };
    expect(Math.abs(milliamps(1) - max)).toBeLessThan(figures.tolerance);
    // Some rows print no typical value.
    expect(Math.abs(milliamps(0) - (typ ?? milliamps(0)))).toBeLessThan(figures.tolerance);
  });

  // Toshiba's counter sheets: extra ICC of the loads = fCK·VCC·(CQ0/2 + CQ1/4 + CQ2/8 + CQ3/16 + CCO/16).
  test("of a counter's loads is the sum that the counter's sheet prints", () => {
    const [clock, volts] = [10e6, 5];
    const farads = [50e-12, 40e-12, 30e-12, 20e-12, 15e-12];
    const cycles = [2, 4, 8, 16, 16];
    const { loads } = amperesOf({
      ...nothing,
      volts,
      loads: farads.map((value, index) => ({ farads: value, hertz: clock / (cycles[index] ?? 1) })),
    });
    const printed = clock * volts * (50e-12 / 2 + 40e-12 / 4 + 30e-12 / 8 + 20e-12 / 16 + 15e-12 / 16);
    expect(loads).toBeCloseTo(printed, 12);
  });

  test("reckoned from Cpd is no less than what a sheet's curve shows", () => {
    const { pF, megahertz, points } = worked.curve;
    for (const { volts, mA } of points) {
      const { total } = amperesOf({ ...nothing, volts, inside: [{ farads: pF * 1e-12, hertz: megahertz * 1e6 }] });
      expect(total * 1000).toBeGreaterThan(mA);
      expect(total * 1000).toBeLessThan(2.2 * mA);
    }
  });

  test.each(worked.capacitor)("of $amperes A for $seconds s takes $farads F", ({ amperes, seconds, sag, farads }) => {
    expect(faradsFor({ amperes, seconds, sag })).toBeCloseTo(farads, 12);
    expect(sagOf({ amperes, seconds, farads })).toBeCloseTo(sag, 12);
  });
});
