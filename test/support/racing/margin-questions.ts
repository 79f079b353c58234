import { ns } from "../../../src/quantity/index.js";
import type { Time } from "./order-tree.js";
import type { RaceEncoding, Slot } from "./race-encoding.js";
import {
  CLOCK,
  CLOCK_PERIOD_NS,
  HOLD_NS,
  type RacingCell,
  type RacingCircuit,
  SET_UP_NS,
  WIDTH_NS,
} from "./random-racing-circuit.js";
import { type Condition, TRUE, and, or, whole } from "./smt.js";

/** A rule at a place, in the words of the proof. */
export interface Place {
  readonly rule: string;
  readonly chip: string;
  readonly pin: string;
  readonly symbol: string;
  readonly reference: string;
}

/** What a place that fails has of the time required, in femtoseconds; undefined where it holds. */
export type Fails = (place: Place) => number | undefined;

/** A rule at a place, and when some board has less than a margin there, in femtoseconds. */
export interface MarginQuestion extends Place {
  /** Whether some board has less than this margin, or with `isAttained` no more. */
  isBelow(margin: number, isAttained?: boolean): Condition;
}

/** Changes further apart than this, in ticks, are none of one capture's. */
const NEAR_TICKS = 2;

/** Every requirement of the circuit, at captures and strobes before `ticks`. */
export function questionsOf(
  racing: RacingCircuit,
  encoding: RaceEncoding,
  ticks: number,
  fails: Fails,
): readonly MarginQuestion[] {
  const flipFlops = racing.cells.filter(({ kind }) => kind === "flip-flop");
  return [
    ...flipFlops.flatMap((cell) => flipFlop(encoding, cell, ticks, fails)),
    ...turnArounds(racing, encoding, ticks),
  ];
}

interface Gap {
  readonly from: Time;
  readonly to: Time;
  readonly when: Condition;
  /** Which of the two edges is meant to come first is known only from when they come: it is the one that does. */
  readonly isEitherWay?: boolean;
}

function question(place: Place, required: number, gaps: readonly Gap[]): MarginQuestion[] {
  if (gaps.length === 0) return [];
  const isBelow = (margin: number, isAttained = false) => {
    const least = whole(Math.round(required + margin));
    const below = gaps.flatMap(({ from, to, when, isEitherWay }) => {
      const gap = `(- ${to.term} ${from.term})`;
      const order = isEitherWay ? `(>= ${gap} 0)` : TRUE;
      return and(when, order, `(${isAttained ? "<=" : "<"} ${gap} ${least})`);
    });
    return or(...below);
  };
  return [{ ...place, isBelow }];
}

function flipFlop(encoding: RaceEncoding, cell: RacingCell, ticks: number, fails: Fails): MarginQuestion[] {
  const captures = encoding.captures(cell).filter(({ time }) => time.tick < ticks);
  const data = encoding.atPin(cell, "D");
  const place = { chip: cell.ref, pin: "D", reference: "CLK" };
  const near = captures.flatMap(({ time }) =>
    data
      .filter((slot) => Math.abs(slot.time.tick - time.tick) <= NEAR_TICKS)
      .map((slot) => ({ time, slot, isMissed: !isApart(encoding, slot.time, time) })),
  );
  const side = (place: Place, required: number, isBefore: boolean) => {
    const available = fails(place);
    const isEitherWay = available === undefined || available >= 0;
    // Of a change that misses its capture it must be known on which side it is meant to be.
    const half = encoding.periods[0] / 2;
    const isDoubtful = ({ present, time: { least, most } }: Slot) => present !== TRUE || most - least > half;
    if (!isEitherWay && near.some(({ slot, isMissed }) => isMissed && isDoubtful(slot))) return [];
    const gaps = near
      .filter(({ time, slot }) => isEitherWay || middle(encoding, slot.time) < middle(encoding, time) === isBefore)
      .map(({ time, slot }): Gap => {
        const [from, to] = isBefore ? [slot.time, time] : [time, slot.time];
        return { from, to, when: and(slot.present, isNear(encoding, from, to)), isEitherWay };
      });
    return question(place, required, gaps);
  };
  return [
    ...side({ ...place, rule: "set-up", symbol: "tsu" }, ns(SET_UP_NS), true),
    ...side({ ...place, rule: "hold", symbol: "th" }, ns(HOLD_NS), false),
    // What the oscillator itself gives is no race.
    ...(cell.feeds["CLK"] === CLOCK ? [] : clockShape(encoding, cell, ticks)),
  ];
}

function isApart(encoding: RaceEncoding, a: Time, b: Time): boolean {
  return encoding.isSurelyBefore(a, b) || encoding.isSurelyBefore(b, a);
}

function clockShape(encoding: RaceEncoding, cell: RacingCell, ticks: number): MarginQuestion[] {
  const edges = encoding.atPin(cell, "CLK");
  const first = encoding.firstAt(cell, "CLK");
  const apart = (by: number, keep: (index: number) => boolean) =>
    edges.flatMap(({ time }, index): Gap[] => {
      const next = edges[index + by];
      if (!next || !keep(index) || next.time.tick >= ticks) return [];
      return [{ from: time, to: next.time, when: TRUE }];
    });
  const place = { chip: cell.ref, pin: "CLK", reference: "CLK" };
  const isRise = (index: number) => (index % 2 === 0) !== first;
  return [
    ...question({ ...place, rule: "pulse width", symbol: "tw high" }, ns(WIDTH_NS), apart(1, isRise)),
    ...question(
      { ...place, rule: "pulse width", symbol: "tw low" },
      ns(WIDTH_NS),
      apart(1, (index) => !isRise(index)),
    ),
    ...question({ ...place, rule: "clock period", symbol: "fmax" }, ns(CLOCK_PERIOD_NS), apart(2, isRise)),
  ];
}

/** One driver of a net must have let go before the other begins to drive. */
function turnArounds(racing: RacingCircuit, encoding: RaceEncoding, ticks: number): MarginQuestion[] {
  const drivers = racing.cells.filter(({ kind }) => kind === "driver");
  return drivers.flatMap((taker) =>
    drivers
      .filter((other) => other !== taker && other.net === taker.net)
      .flatMap((leaver) => {
        const slots = encoding.waves.get(taker.net)?.slots ?? [];
        const takes = slots.filter((slot) => slot.driver === taker.ref && slot.takes !== "false");
        const releases = slots.filter((slot) => slot.driver === leaver.ref && slot.releases !== "false");
        const mid = (slot: Slot) => middle(encoding, slot.time);
        const gaps = takes
          .filter(({ time }) => time.tick < ticks)
          .flatMap((take): Gap[] => {
            // What is meant for this take: both follow one change of the signal that selects.
            const meant = releases.filter((slot) => Math.abs(mid(slot) - mid(take)) < encoding.periods[0]);
            return meant.map((release) => ({
              from: release.time,
              to: take.time,
              when: and(take.takes, release.releases, isNear(encoding, release.time, take.time)),
            }));
          });
        const place = { rule: "contention", chip: taker.ref, pin: "Y", symbol: "turn-around" };
        return question({ ...place, reference: `${leaver.ref} Y` }, 0, gaps);
      }),
  );
}

/**
 * The second comes less than three quarters of a period before the first. One edge of many that follow each other is another one where
 * pulses before it vanish, so that two which are mostly near may be periods apart on some board.
 */
function isNear({ periods }: RaceEncoding, from: Time, to: Time): Condition {
  return `(< (- ${from.term} ${to.term}) ${Math.round(0.75 * periods[0])})`;
}

function middle({ periods }: RaceEncoding, { tick, least, most }: Time): number {
  return (tick * (periods[0] + periods[1]) + least + most) / 2;
}
