import { bothEdits } from "../board/variant.js";
import { FREQUENCY, type Fault } from "../faults/fault.js";
import type { PinId } from "../board/board.js";
import { spotsOf } from "../faults/spots.js";
import type { FaultBench } from "../signature/catalogue.js";
import { FAULTS_IN_GROUP } from "../signature/simulate-group.js";
import { EditPlan, Stages, simulateStage } from "../signature/stages.js";
import { type Observation, fits, observationOf } from "./observation.js";
import { PairQueue, type Single } from "./pair-queue.js";
import { reachOf } from "./reach.js";
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

/** Pairs that are simulated together after the likeliest ones: what of them writes to memory otherwise fills whole groups. */
const LATER_PAIRS = 4 * FAULTS_IN_GROUP;

/**
 * Tries two faults at once, a group of boards a step, so that whoever asks may stop when time is up. Pairs that together
 * explain more of what was measured come first, and of those the commoner; those that cannot explain it are left out.
 */
export function* searchPairs(
  bench: FaultBench,
  suspicion: Suspicion,
  observations: readonly Observation[],
): Generator<PairSearch, void> {
  const usual = bitsOf(observations, (one) => suspicion.usualAt(one.pin).some((way) => fits(one, way)));
  const all = bitsOf(observations, () => true);
  const queue = new PairQueue(singlesOf(bench, suspicion, observations), all, usual);
  const found: Pair[] = [];
  const places = new Set<string>();
  let tried = 0;
  let size = FAULTS_IN_GROUP;
  for (let own = queue.next(size); own.length > 0; own = queue.next(size)) {
    const faults = own.map(asFault);
    const plan = new EditPlan(
      bench,
      faults.map(({ edit }) => edit),
    );
    const stages = new Stages(plan);
    for (let now = stages.next(); now; now = stages.next()) {
      for (let from = 0; from < now.boards.length; from += FAULTS_IN_GROUP) {
        const boards = now.boards.slice(from, from + FAULTS_IN_GROUP);
        stages.take(simulateStage(bench, plan, { ...now, boards }));
        yield { tried: tried + stages.found.size, total: queue.total, found };
      }
    }
    const together = new Suspicion(bench, plan.all(stages.found), faults);
    own.forEach((pair, index) => {
      const place = pair
        .map(({ spots: [spot = ""] }) => spot)
        .sort((a, b) => (a < b ? -1 : 1))
        .join();
      if (places.has(place) || !together.explains(index, observations)) return;
      places.add(place);
      found.push({ faults: [pair[0].fault, pair[1].fault] });
    });
    tried += own.length;
    yield { tried, total: queue.total, found };
    size = LATER_PAIRS;
  }
}

/** One of each class of faults, with what it has to do with what was measured. */
function singlesOf(bench: FaultBench, suspicion: Suspicion, observations: readonly Observation[]): readonly Single[] {
  const { board, faults } = bench;
  const reach = reachOf(board);
  return suspicion.representatives.flatMap((number): Single[] => {
    const fault = faults[number];
    if (!fault || suspicion.isDead(number)) return [];
    const ways = (pin: PinId) => suspicion.readingsAt(number, pin);
    const changes = bitsOf(observations, ({ pin }) => {
      const usual = suspicion.usualAt(pin);
      return ways(pin).some((way, index) => !fits(observationOf(pin, way), usual[index] ?? way));
    });
    const { nodes, pins } = reach(fault.edit);
    const mayReach = bitsOf(observations, ({ pin }) => pins.has(pin) || nodes.has(board.pins[pin]?.node ?? -1));
    return [
      {
        fault,
        spots: spotsOf(board, fault),
        changes,
        explains: bitsOf(observations, (one) => ways(one.pin).some((way) => fits(one, way))),
        reaches: mayReach.map((word, at) => word | (changes[at] ?? 0)),
        weight: FREQUENCY[fault.kind],
      },
    ];
  });
}

function bitsOf(observations: readonly Observation[], has: (one: Observation) => boolean): Uint32Array {
  const bits = new Uint32Array(Math.ceil(observations.length / 32));
  observations.forEach((one, index) => {
    if (has(one)) bits[index >> 5] = ((bits[index >> 5] ?? 0) | (1 << (index & 31))) >>> 0;
  });
  return bits;
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
