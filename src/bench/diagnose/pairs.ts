import { bothEdits } from "../board/variant.js";
import { FREQUENCY, type Fault } from "../faults/fault.js";
import { spotsOf } from "../faults/spots.js";
import type { FaultBench } from "../signature/catalogue.js";
import { FAULTS_IN_GROUP } from "../signature/simulate-group.js";
import { simulateEdits } from "../signature/stages.js";
import { type Observation, fits, observationOf } from "./observation.js";
import { Suspicion } from "./suspicion.js";

/** Two faults at once that explain all that was measured. */
export interface Pair {
  readonly faults: readonly [Fault, Fault];
}

/** How far a search for two faults has come. */
export interface PairSearch {
  /** Pairs that were simulated, and that are in the queue altogether. */
  readonly tried: number;
  readonly total: number;
  /** Those that explain everything, in the order of likelihood: one of each two places. */
  readonly found: readonly Pair[];
}

/** Single faults that are put together: those that explain most by themselves. */
const MOST_SINGLES = 160;

interface Single {
  readonly fault: Fault;
  readonly spots: readonly string[];
  /** At which measured pins it changes anything, and which measurements it explains in either of its ways: a bit each. */
  readonly changes: bigint;
  readonly explains: bigint;
  readonly weight: number;
}

/**
 * Tries two faults at once, a group of boards a step, so that whoever asks may stop when time is up. Pairs that together
 * explain more of what was measured come first, and of those the commoner.
 */
export function* searchPairs(
  bench: FaultBench,
  suspicion: Suspicion,
  observations: readonly Observation[],
): Generator<PairSearch, void> {
  const pairs = pairsOf(singlesOf(bench, suspicion, observations), usualMask(suspicion, observations));
  const found: Pair[] = [];
  const places = new Set<string>();
  for (let from = 0; from < pairs.length; from += FAULTS_IN_GROUP) {
    const own = pairs.slice(from, from + FAULTS_IN_GROUP);
    const faults = own.map(asFault);
    const signatures = simulateEdits(
      bench,
      faults.map(({ edit }) => edit),
    );
    const together = new Suspicion(bench, signatures, faults);
    own.forEach((pair, index) => {
      const place = pair
        .map(({ spots: [spot = ""] }) => spot)
        .sort((a, b) => (a < b ? -1 : 1))
        .join();
      if (places.has(place) || !together.explains(index, observations)) return;
      places.add(place);
      found.push({ faults: [pair[0].fault, pair[1].fault] });
    });
    yield { tried: from + own.length, total: pairs.length, found };
  }
}

/** One of each class of faults that explain something which a board without faults does not. */
function singlesOf(bench: FaultBench, suspicion: Suspicion, observations: readonly Observation[]): readonly Single[] {
  const strange = ~usualMask(suspicion, observations);
  return suspicion.representatives
    .flatMap((number): Single[] => {
      const fault = bench.faults[number];
      if (!fault) return [];
      const explains = maskOf(observations, (one) =>
        suspicion.readingsAt(number, one.pin).some((way) => fits(one, way)),
      );
      const changes = maskOf(observations, ({ pin }) => {
        const usual = suspicion.usualAt(pin);
        return suspicion.readingsAt(number, pin).some((way, index) => {
          const right = usual[index];
          return right !== undefined && !fits(observationOf(pin, way), right);
        });
      });
      if ((explains & changes & strange) === 0n) return [];
      return [{ fault, spots: spotsOf(bench.board, fault), changes, explains, weight: FREQUENCY[fault.kind] }];
    })
    .sort((a, b) => bitsIn(b.explains) - bitsIn(a.explains) || b.weight - a.weight)
    .slice(0, MOST_SINGLES);
}

/** Pairs by how much they explain: what a fault does not change is left to the other one. */
function pairsOf(singles: readonly Single[], usual: bigint): readonly (readonly [Single, Single])[] {
  const explained = (one: Single, other: Single) =>
    (one.explains & one.changes) | (other.explains & other.changes) | (usual & ~one.changes & ~other.changes);
  const pairs = singles.flatMap((one, index) =>
    singles.slice(index + 1).flatMap((other) => {
      if (one.spots.some((spot) => other.spots.includes(spot))) return [];
      return [{ pair: [one, other] as const, bits: bitsIn(explained(one, other)), weight: one.weight * other.weight }];
    }),
  );
  return pairs.sort((a, b) => b.bits - a.bits || b.weight - a.weight).map(({ pair }) => pair);
}

/** Measurements that are as they would be without a fault. */
function usualMask(suspicion: Suspicion, observations: readonly Observation[]): bigint {
  return maskOf(observations, (one) => suspicion.usualAt(one.pin).some((way) => fits(one, way)));
}

function maskOf(observations: readonly Observation[], has: (one: Observation) => boolean): bigint {
  return observations.reduce((mask, one, index) => (has(one) ? mask | (1n << BigInt(index)) : mask), 0n);
}

function asFault([{ fault: one }, { fault: other }]: readonly [Single, Single]): Fault {
  return {
    id: `${one.id} and ${other.id}`,
    kind: one.kind,
    edit: bothEdits(one.edit, other.edit),
    wires: [...one.wires, ...other.wires],
    text: `${one.text} ${other.text}`,
  };
}

function bitsIn(mask: bigint): number {
  let count = 0;
  for (let rest = mask; rest > 0n; rest &= rest - 1n) count++;
  return count;
}
