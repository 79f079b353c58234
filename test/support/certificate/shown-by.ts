import type { Certificate, CertificateDecision, CertificateMultipliers, Term } from "../../../src/verdict/index.js";

/** A sum of whole multiples of unknowns, by name. */
export type Sum = ReadonlyMap<string, number>;

/** Thrown where a certificate does not show what it says. */
export class Refused extends Error {}

export function added(one: Sum, other: Sum, times = 1): Sum {
  const sum = new Map(one);
  for (const [name, factor] of other) sum.set(name, (sum.get(name) ?? 0) + times * factor);
  for (const [name, factor] of sum) if (factor === 0) sum.delete(name);
  return sum;
}

export function keyOf(sum: Sum): string {
  return [...sum]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, factor]) => `${factor}*${name}`)
    .join(" + ");
}

export function negated(sum: Sum): Sum {
  return new Map([...sum].map(([name, factor]) => [name, -factor]));
}

/** What the limits of a certificate's unknowns show, in whole numbers. Knows nothing of circuits. */
export class ShownBy {
  readonly #certificate: Certificate;

  constructor(certificate: Certificate) {
    this.#certificate = certificate;
  }

  sum(terms: readonly Term[]): Sum {
    return new Map(
      terms.map(([number, factor]) => {
        const unknown = this.#certificate.unknowns[number];
        if (!unknown || !Number.isInteger(factor)) throw new Refused("a term of no unknown");
        return [unknown.name, factor] as const;
      }),
    );
  }

  /** Whether multipliers show that a sum is no less than `least` femtoseconds where each condition is not negative. */
  isAtLeast(sum: Sum, least: number, conditions: readonly Sum[], { parts, counts }: CertificateMultipliers): boolean {
    const rows = [...conditions, ...this.#duty()];
    if (counts.length !== rows.length || !(Number.isInteger(parts) && parts > 0)) return false;
    if (counts.some((count) => !Number.isInteger(count) || count < 0)) return false;
    const rest = new Map<string, bigint>();
    const add = (row: Sum, times: bigint) => {
      for (const [name, factor] of row) rest.set(name, (rest.get(name) ?? 0n) + times * BigInt(factor));
    };
    add(sum, BigInt(parts));
    rows.forEach((row, i) => add(row, -BigInt(counts[i] ?? 0)));
    let lowest = 0n;
    for (const [name, factor] of rest) {
      const unknown = this.#certificate.unknowns.find((one) => one.name === name);
      if (factor === 0n) continue;
      if (!unknown) return false;
      lowest += factor * BigInt(factor > 0n ? unknown.min : unknown.max);
    }
    // Rounded down to a whole femtosecond, as margins are told.
    return lowest >= BigInt(least) * BigInt(parts);
  }

  /** The conditions of the decisions that are not forced. Throws Refused where a forced one does not follow. */
  conditionsOf(decisions: readonly CertificateDecision[]): readonly Sum[] {
    const conditions: Sum[] = [];
    for (const { difference, isLater, forcedBy } of decisions) {
      const taken = isLater ? this.sum(difference) : negated(this.sum(difference));
      if (!forcedBy) conditions.push(taken);
      else if (!this.isAtLeast(taken, 0, conditions, forcedBy)) throw new Refused("a decision that is not forced");
    }
    return conditions;
  }

  /** Throws Refused unless every board is in one of these cases. */
  mustCover(cases: readonly (readonly CertificateDecision[])[], depth = 0): void {
    const [first, ...others] = cases;
    if (!first) throw new Refused("a case that is missing");
    const decision = first[depth];
    if (!decision) {
      if (others.length > 0) throw new Refused("two cases that are one");
      return;
    }
    const key = keyOf(this.sum(decision.difference));
    const isSame = (one: readonly CertificateDecision[]) => {
      const other = one[depth];
      return (
        other && keyOf(this.sum(other.difference)) === key && Boolean(other.forcedBy) === Boolean(decision.forcedBy)
      );
    };
    if (!others.every(isSame)) throw new Refused("cases that part in different ways");
    const [later, sooner] = [true, false].map((way) => cases.filter((one) => one[depth]?.isLater === way));
    if (decision.forcedBy) {
      // What forces it is looked at with each case.
      if (later?.length && sooner?.length) throw new Refused("a forced decision that is taken both ways");
      return this.mustCover(cases, depth + 1);
    }
    this.mustCover(later ?? [], depth + 1);
    this.mustCover(sooner ?? [], depth + 1);
  }

  /** That the high time is within its shares of the period. */
  #duty(): readonly Sum[] {
    const [[least, ofLeast], [most, ofMost]] = this.#certificate.duty;
    return [
      new Map([
        ["high time", ofLeast],
        ["period", -least],
      ]),
      new Map([
        ["period", most],
        ["high time", -ofMost],
      ]),
    ];
  }
}
