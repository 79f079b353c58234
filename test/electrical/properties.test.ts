import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Circuit } from "../../src/circuit/index.js";
import { type ElectricalVerdict, judgeElectrical, loadDelays } from "../../src/electrical/index.js";
import { bench } from "./bench.js";

const families = ["HC", "HCT", "AC", "ACT", "AHC", "AHCT", "LS", "F", "ALS"];
const inverter = fc.constantFrom(...families).map((family) => `74${family}04`);
const inputs = fc.array(fc.tuple(inverter, fc.integer({ min: 1, max: 6 })), { minLength: 1, maxLength: 5 });
const net = fc.record({
  driver: inverter,
  receivers: inputs,
  pull: fc.option(fc.constantFrom("470 ohm", "4.7 kohm", "47 kohm")),
  to: fc.constantFrom("high", "low"),
});
type RandomNet = typeof net extends fc.Arbitrary<infer T> ? T : never;

const runs = { numRuns: 40 };

function circuitOf({ driver, receivers, pull, to }: RandomNet, supply = "5 V ± 3 %", ambient = "0 to 50 °C"): Circuit {
  const chips = receivers.map(([part, count], index) => {
    const pins = Array.from({ length: count }, (_, n) => `${n + 1}A=NET`);
    return [`R${index + 1}`, [part, pins.join(" ")]] as const;
  });
  return bench({
    supply,
    ambient,
    chips: { D1: [driver, "1Y=NET"], ...Object.fromEntries(chips) },
    ...(pull !== null && { passives: `P1: {value: ${pull}, between: [NET, ${to}]}` }),
  });
}

/** The rules of one net, with which a part cannot get better by what is added. */
function marginsOf(circuit: Circuit): ReadonlyMap<string, number> {
  const rules = ["high level", "low level", "high current", "low current", "input edge"];
  const verdicts = judgeElectrical(circuit).verdicts.filter(
    ({ rule, net: name }) => rules.includes(rule) && name === "NET",
  );
  // Without a margin the driver is overloaded: worse than any margin.
  return new Map(verdicts.map(({ name, margin }) => [name, margin ?? -Infinity]));
}

/** Names of the verdicts of the first that are worse than in the second. */
function better(first: ReadonlyMap<string, number>, second: ReadonlyMap<string, number>): readonly string[] {
  return [...first].flatMap(([name, margin]) => ((second.get(name) ?? -Infinity) > margin ? [name] : []));
}

describe("nothing gets better by what makes it worse", () => {
  test("one more input on a net improves no margin on it and shortens no delay", () => {
    fc.assert(
      fc.property(net, inverter, (random, part) => {
        const [few, more] = [circuitOf(random), circuitOf({ ...random, receivers: [...random.receivers, [part, 1]] })];
        expect(better(marginsOf(few), marginsOf(more))).toEqual([]);
        const rise = (circuit: Circuit) => loadDelays(circuit).get("D1")?.get("1Y")?.rise ?? 0;
        const fall = (circuit: Circuit) => loadDelays(circuit).get("D1")?.get("1Y")?.fall ?? 0;
        // A level that a pull-up no longer lifts the net to fails; there is then no end of its rise to wait for.
        const isReached = [...marginsOf(more)].every(([name, margin]) => !name.startsWith("high level") || margin >= 0);
        expect(isReached && rise(more) < rise(few)).toBe(false);
        expect(fall(more)).toBeGreaterThanOrEqual(fall(few));
      }),
      runs,
    );
  });

  test("a pull-up that lifts the net from some supply on makes the margin least just there", () => {
    // 74F gives 2.7 V from 4.75 V; 47 kΩ less 5 % of 43 µA below the rail are more from 4.82 V.
    const random = {
      driver: "74F04",
      receivers: [
        ["74HC04", 3],
        ["74F04", 2],
      ],
      pull: "47 kohm",
      to: "high",
    } as const;
    const at = (supply: string) => marginsOf(circuitOf(random as never, supply)).get("high level NET F to HC") ?? 0;
    expect(at("4.75 to 5.25 V")).toBeLessThan(Math.min(at("4.75 V"), at("5.25 V")));
    expect(at("4.75 to 5.25 V")).toBeLessThanOrEqual(at("4.85 to 5.15 V"));
  });

  test("a wider supply improves no level", () => {
    fc.assert(
      fc.property(net, (random) => {
        const [narrow, wide] = [circuitOf(random, "5 V ± 2 %"), circuitOf(random, "5 V ± 5 %")];
        expect(better(marginsOf(narrow), marginsOf(wide))).toEqual([]);
      }),
      runs,
    );
  });

  test("a wider range of temperature improves no level and no load", () => {
    fc.assert(
      fc.property(net, (random) => {
        const [mild, wide] = [circuitOf(random, "5 V ± 3 %", "25 °C"), circuitOf(random, "5 V ± 3 %", "0 to 70 °C")];
        expect(better(marginsOf(mild), marginsOf(wide))).toEqual([]);
      }),
      runs,
    );
  });

  test("a breadboard improves no edge over a printed board", () => {
    fc.assert(
      fc.property(net, (random) => {
        const printed = circuitOf(random);
        const breadboard: Circuit = { ...printed, build: "breadboard" };
        expect(better(marginsOf(printed), marginsOf(breadboard))).toEqual([]);
      }),
      runs,
    );
  });
});

test("every verdict's figures agree with one another and with the end of its arithmetic", () => {
  fc.assert(
    fc.property(net, (random) => {
      for (const verdict of judgeElectrical(circuitOf(random)).verdicts) expect(faultsOf(verdict)).toEqual([]);
    }),
    runs,
  );
});

function faultsOf(verdict: ElectricalVerdict): readonly string[] {
  const { name, state, required, available, margin, reckoning, remedies } = verdict;
  const faults: string[] = [];
  if (margin !== undefined && (state === "holds") !== margin >= 0) faults.push(`${name}: ${state} by ${margin}`);
  if (state === "holds" && remedies.length > 0) faults.push(`${name} holds and has remedies`);
  if (state === "fails" && remedies.length === 0) faults.push(`${name} fails without a remedy`);
  if (required !== undefined && available !== undefined && margin !== undefined) {
    if (Math.abs(Math.abs(available - required) - Math.abs(margin)) > 1)
      faults.push(`${name}: margin is no difference`);
  }
  const last = reckoning.at(-1)?.figure?.amount;
  const isMine = ["high level", "low level", "high current", "low current", "input edge", "supply range"].includes(
    verdict.rule,
  );
  if (isMine && margin !== undefined && last !== margin) faults.push(`${name}: ends in ${last}, not in ${margin}`);
  return faults;
}
