import { describe, expect, test } from "vitest";
import { settleExactly } from "../../src/exact/index.js";
import { type Verdict, prove } from "../../src/timing/index.js";
import type { Certificate } from "../../src/verdict/index.js";
import { pinTimes } from "../support/certificate/board-by-delays.js";
import { checkCertificate } from "../support/certificate/check-certificate.js";
import { Refused } from "../support/certificate/shown-by.js";
import { type RacingCircuit, circuitOf, randomRacingCircuit } from "../support/racing/random-racing-circuit.js";

/** Random circuits of few chips in which signals race each other. */
const SEEDS = [8, 22, 38, 47, 58, 62];

interface Shown {
  readonly racing: RacingCircuit;
  readonly verdict: Verdict;
  readonly ticks: number;
}

const shown = SEEDS.flatMap((seed): Shown[] => {
  const racing = randomRacingCircuit(seed);
  const circuit = circuitOf(racing);
  const bounds = prove(circuit);
  const { proof } = settleExactly(circuit, bounds);
  const ticks = proof.leadTicks + proof.cycleTicks;
  return proof.verdicts.flatMap((verdict) => (verdict.exact ? [{ racing, verdict, ticks }] : []));
});

test("every verdict that was decided case by case has a certificate that stands by itself", () => {
  console.log(`${shown.length} certificates of ${SEEDS.length} circuits`);
  expect(shown.length).toBeGreaterThan(15);
  for (const { racing, verdict, ticks } of shown) checkCertificate(racing, verdict, ticks);
});

test("a verdict that holds where the bounds fail has a certificate", () => {
  const mended = shown.filter(({ verdict }) => verdict.state === "holds" && (verdict.exact?.bound ?? 0) < 0);
  expect(mended.length).toBeGreaterThan(0);
});

/** What is wrong with each tampered certificate; undefined where this one has nothing of the kind. */
const tampered: Readonly<Record<string, (certificate: Certificate) => Certificate | undefined>> = {
  "a case is left out": (certificate) =>
    withPair(certificate, (pair) => (pair.cases.length > 1 ? { ...pair, cases: pair.cases.slice(1) } : undefined)),
  "a decision is taken the other way": (certificate) =>
    withPair(certificate, (pair) => {
      const [first, ...others] = pair.cases;
      const [decision, ...rest] = first?.decisions ?? [];
      if (!first || !decision) return undefined;
      return {
        ...pair,
        cases: [{ ...first, decisions: [{ ...decision, isLater: !decision.isLater }, ...rest] }, ...others],
      };
    }),
  "a gap is left out": (certificate) =>
    withPair(certificate, (pair) => ({ ...pair, cases: pair.cases.map((one) => ({ ...one, gaps: [] })) })),
  "a delay has closer limits": (certificate) => {
    const unknowns = certificate.unknowns.map((one) => (one.max > one.min + 1 ? { ...one, min: one.min + 1 } : one));
    return { ...certificate, unknowns };
  },
  "a multiplier is negative": (certificate) =>
    withPair(certificate, (pair) => ({
      ...pair,
      cases: pair.cases.map((one) => ({
        ...one,
        gaps: one.gaps.map((gap) => ({
          ...gap,
          multipliers: { ...gap.multipliers, counts: gap.multipliers.counts.map(() => -1) },
        })),
      })),
    })),
  "multipliers are left out": (certificate) =>
    withPair(certificate, (pair) => {
      const isCounted = pair.cases.some(({ gaps }) =>
        gaps.some(({ multipliers }) => multipliers.counts.some((count) => count > 0)),
      );
      const cases = pair.cases.map((one) => ({
        ...one,
        gaps: one.gaps.map((gap) => ({
          ...gap,
          multipliers: { ...gap.multipliers, counts: gap.multipliers.counts.map(() => 0) },
        })),
      }));
      return isCounted ? { ...pair, cases } : undefined;
    }),
  "a change is said to be on the other side of its capture": (certificate) =>
    withPair(certificate, (pair) => ({
      ...pair,
      cases: pair.cases.map((one) => ({ ...one, gaps: one.gaps.map((gap) => ({ ...gap, isOtherSide: true })) })),
    })),
};

type Pair = Certificate["pairs"][number];

/** With every pair changed that can be; undefined where none can. */
function withPair(certificate: Certificate, change: (pair: Pair) => Pair | undefined): Certificate | undefined {
  const changed = certificate.pairs.map(change);
  if (changed.every((pair) => pair === undefined)) return undefined;
  return { ...certificate, pairs: certificate.pairs.map((pair, index) => changed[index] ?? pair) };
}

function isRefused({ racing, verdict, ticks }: Shown, certificate: Certificate): boolean {
  const { exact } = verdict;
  if (!exact) return false;
  try {
    checkCertificate(racing, { ...verdict, exact: { ...exact, certificate } }, ticks);
    return false;
  } catch (error) {
    if (error instanceof Refused) return true;
    throw error;
  }
}

/** Where limits alone show a margin, what a certificate says besides is not needed. */
const sometimesNeedless = new Set([
  "a case is left out",
  "a decision is taken the other way",
  "multipliers are left out",
]);

describe("a certificate is refused where", () => {
  const needed = shown.filter((one) => {
    const { certificate } = one.verdict.exact ?? {};
    return certificate && certificate.pairs.length > 0 && isRefused(one, { ...certificate, pairs: [] });
  });

  test.for(Object.entries(tampered))("%s", ([what, tamper]) => {
    const tried = needed.flatMap((one) => {
      const certificate = one.verdict.exact && tamper(one.verdict.exact.certificate);
      return certificate ? [{ name: one.verdict.name, isRefused: isRefused(one, certificate) }] : [];
    });
    expect(tried.filter((one) => one.isRefused).length).toBeGreaterThan(3);
    const passed = tried.filter((one) => !one.isRefused && !sometimesNeedless.has(what));
    expect(passed).toEqual([]);
  });

  test("the margin is told better by a femtosecond", () => {
    for (const one of needed) {
      const { exact, available = 0, margin = 0 } = one.verdict;
      if (!exact?.isAttained) continue;
      const certificate = { ...exact.certificate, least: available + 1 };
      const better = { ...one.verdict, available: available + 1, margin: margin + 1, exact: { ...exact, certificate } };
      expect(() => checkCertificate(one.racing, better as Verdict, one.ticks)).toThrow(Refused);
    }
  });

  test("the sure clocks of a glitch that cannot be are left out", () => {
    const glitches = shown.filter(({ verdict }) => verdict.rule === "glitch");
    for (const { racing, verdict, ticks } of glitches) {
      const { exact } = verdict;
      if (!exact) continue;
      const certificate = { ...exact.certificate, sure: [] };
      expect(() => checkCertificate(racing, { ...verdict, exact: { ...exact, certificate } }, ticks)).toThrow(Refused);
    }
  });
});

test("a simulated board with the delays of an exact margin has it to a few femtoseconds", () => {
  let count = 0;
  for (const { racing, verdict, ticks } of shown) {
    const { rule, chip, available, exact } = verdict;
    if (!exact?.board || available === undefined || (rule !== "set-up" && rule !== "hold")) continue;
    // What lets go of a bus is a change that no level tells.
    const net = racing.cells.find(({ ref }) => ref === chip)?.feeds["D"];
    if (racing.cells.filter((cell) => cell.net === net).length > 1) continue;
    const { changes, rises } = pinTimes(circuitOf(racing), exact.board, chip, ticks);
    const gaps = rises.flatMap((rise) => {
      const near = changes.map((change) => (rule === "set-up" ? rise - change : change - rise));
      return Math.min(...near.filter((gap) => gap >= 0));
    });
    expect(Math.abs(Math.min(...gaps) - available)).toBeLessThanOrEqual(20);
    count++;
  }
  console.log(`${count} boards have the margin that was decided`);
  expect(count).toBeGreaterThan(3);
});
