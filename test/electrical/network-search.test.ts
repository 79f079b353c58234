import { describe, expect, test } from "vitest";
import {
  type BitDriver,
  type NetworkChoice,
  type NetworkGoal,
  bestNetwork,
  networkOf,
} from "../../src/electrical/network-search.js";
import { preferredValues } from "../../src/electrical/preferred-values.js";
import { asNumber, compare } from "../../src/electrical/rational.js";

const fiveVolts: BitDriver = { high: { volts: 5, ohms: 30 }, low: { volts: 0, ohms: 18 } };
const threeVolts: BitDriver = { high: { volts: 3.3, ohms: 0 }, low: { volts: 0, ohms: 0 } };
/** The upper transistor of a totem pole drops more than half a volt. */
const totemPole: BitDriver = { high: { volts: 3.4, ohms: 60 }, low: { volts: 0.2, ohms: 12 } };

function goal(driver: BitDriver, bits: number, more: Partial<NetworkGoal> = {}): NetworkGoal {
  return {
    drivers: Array.from({ length: bits }, () => driver),
    loadOhms: 75,
    fullVolts: 0.7,
    series: "E12",
    shunt: false,
    leastOhms: 100,
    mostOhms: 10_000,
    ...more,
  };
}

/** Every combination, one after the other, compared as fractions; the first of the best counts. */
function byTrying(wanted: NetworkGoal): NetworkChoice | undefined {
  const values = preferredValues(wanted.series, wanted.leastOhms, wanted.mostOhms);
  let best: NetworkChoice | undefined;
  const grow = (ohms: readonly number[]): void => {
    if (ohms.length < wanted.drivers.length) {
      for (const value of values) grow([...ohms, value]);
      return;
    }
    for (const shunt of wanted.shunt ? [...values, undefined] : [undefined]) {
      const choice = networkOf(wanted, ohms, shunt);
      if (wanted.mostMilliamps !== undefined && asNumber(choice.mostAmperes) * 1000 > wanted.mostMilliamps) continue;
      if (!best || compare(choice.worstError, best.worstError) < 0) best = choice;
    }
  };
  grow([]);
  return best;
}

/** The same in doubles, for more combinations than fractions have time for: the least greatest error alone. */
function leastErrorByTrying({ drivers, loadOhms, fullVolts, series, leastOhms, mostOhms }: NetworkGoal): number {
  const values = preferredValues(series, leastOhms, mostOhms);
  const [a, b, c] = drivers;
  if (!a || !b || !c) throw new Error("three bits");
  let least = Infinity;
  for (const first of values) {
    for (const second of values) {
      for (const third of values) {
        let worst = 0;
        for (let code = 0; code < 8 && worst < least; code++) {
          const [x, y, z] = [code & 4 ? a.high : a.low, code & 2 ? b.high : b.low, code & 1 ? c.high : c.low];
          const [gx, gy, gz] = [1 / (first + x.ohms), 1 / (second + y.ohms), 1 / (third + z.ohms)];
          const volts = (gx * x.volts + gy * y.volts + gz * z.volts) / (gx + gy + gz + 1 / loadOhms);
          worst = Math.max(worst, Math.abs(volts - (fullVolts * code) / 7));
        }
        least = Math.min(least, worst);
      }
    }
  }
  return least;
}

describe("the search for a video network", () => {
  const cases = [
    { name: "one bit of E96 from 5 V", wanted: goal(fiveVolts, 1, { series: "E96" }) },
    { name: "one bit of E24 and a shunt", wanted: goal(fiveVolts, 1, { series: "E24", shunt: true }) },
    { name: "two bits of E24 from 3.3 V", wanted: goal(threeVolts, 2, { series: "E24" }) },
    {
      name: "two bits of E12 and a shunt from a totem pole",
      wanted: goal(totemPole, 2, { shunt: true, mostOhms: 3_300 }),
    },
    { name: "three bits of E12 from 5 V", wanted: goal(fiveVolts, 3, { leastOhms: 390 }) },
    { name: "three bits of E12 from a totem pole", wanted: goal(totemPole, 3, { leastOhms: 180, mostOhms: 3_300 }) },
    {
      name: "two bits of E12 and a shunt within 8 mA an output",
      wanted: goal(fiveVolts, 2, { shunt: true, mostMilliamps: 8 }),
    },
  ];
  test.each(cases)("finds what trying every combination finds: $name", ({ wanted }) => {
    expect(bestNetwork(wanted)).toEqual(byTrying(wanted));
  });

  test.each([fiveVolts, threeVolts, totemPole])("finds the least error of seven million networks of E96", (driver) => {
    const wanted = goal(driver, 3, { series: "E96" });
    expect(asNumber(bestNetwork(wanted).worstError)).toBeCloseTo(leastErrorByTrying(wanted), 12);
  });

  test("keeps outputs within their current where the best network does not", () => {
    const free = bestNetwork(goal(fiveVolts, 1, { series: "E24", shunt: true, leastOhms: 10 }));
    const kept = bestNetwork(goal(fiveVolts, 1, { series: "E24", shunt: true, leastOhms: 10, mostMilliamps: 12 }));
    expect(asNumber(free.mostAmperes)).toBeGreaterThan(0.012);
    expect(asNumber(kept.mostAmperes)).toBeLessThanOrEqual(0.012);
    expect(compare(free.worstError, kept.worstError)).toBeLessThan(0);
  });

  test("says that no network keeps to a current that even one volt over the load exceeds", () => {
    expect(() => bestNetwork(goal(fiveVolts, 1, { mostOhms: 1_000, mostMilliamps: 1 }))).toThrow("1 mA");
  });
});
