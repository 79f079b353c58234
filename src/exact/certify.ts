import type {
  Certificate,
  CertificateCase,
  CertificateDecision,
  CertificatePair,
  CertificateSure,
  Term,
} from "../verdict/index.js";
import type { ShownPair } from "./decide.js";
import type { Decision } from "./decisions.js";
import type { Linear, Unknowns } from "./unknowns.js";
import type { Certainty } from "./unrolling.js";

/** Writes down what was decided so that it stands by itself: only the unknowns that count, numbered anew. */
export function certify(
  unknowns: Unknowns,
  pairs: readonly ShownPair[],
  certainties: readonly Certainty[],
  least?: number,
): Certificate {
  const numbers = new Map<number, number>();
  const sum = ({ unknowns: own, factors }: Linear): readonly Term[] =>
    own.map((unknown, i): Term => {
      const number = numbers.get(unknown) ?? numbers.size;
      numbers.set(unknown, number);
      return [number, factors[i] ?? 0];
    });
  const told = (decisions: readonly Decision[]) =>
    decisions.map(({ difference, isLater, forcedBy }): CertificateDecision => {
      return { difference: sum(difference), isLater, ...(forcedBy && { forcedBy }) };
    });
  const written = pairs.map(({ tick, times, cases }): CertificatePair => {
    return {
      tick,
      times,
      cases: cases.map(({ decisions, gaps }): CertificateCase => {
        return { decisions: told(decisions), gaps: gaps.map(({ gap, ...shown }) => ({ ...shown, gap: sum(gap) })) };
      }),
    };
  });
  const sure = certainties.map(({ cases, ...rest }): CertificateSure => ({ ...rest, cases: cases.map(told) }));
  const { min, max } = unknowns.duty;
  return {
    unknowns: [...numbers.keys()].map((number) => {
      const { name, min: lowest, max: highest } = unknowns.at(number);
      return { name, min: lowest, max: highest };
    }),
    duty: [
      [min.numerator, min.denominator],
      [max.numerator, max.denominator],
    ],
    sure,
    pairs: written,
    ...(least !== undefined && { least }),
  };
}
