import { type Replay, type Witness, marginOf } from "../evidence/index.js";
import { type Fs, inNs } from "../quantity/index.js";
import { VALUE_LETTERS } from "../simulation/index.js";
import type { Verdict } from "../timing/index.js";

/**
 * A board on which a failure happens, as data. Times are in nanoseconds from power-up, exact to the femtosecond.
 *
 * - `verdict`; `from`, `to`: the two changes; `available` and `margin` (absent where no time decides), `isWorst`
 * - `board`: `period`, `high`, `arcs` and `wires` (those that are set on purpose, by name), `rest` (how the others lie), `seed`
 * - `nets` by name: `first` and `changes` (`time`, `to`) between `shown.from` and `shown.to`; values `0`, `1`, `x`, `z`
 */
export function witnessData(verdict: Verdict, witness: Witness, { from, to, tapes, period, high }: Replay) {
  const { scene, available, isWorst } = witness;
  const margin = marginOf(witness, verdict);
  const named = (values: ReadonlyMap<string, Fs>) => Object.fromEntries([...values].map(([k, v]) => [k, inNs(v)]));
  return {
    verdict: verdict.name,
    from: inNs(witness.from),
    to: inNs(witness.to),
    ...(available !== undefined && { available: inNs(available) }),
    ...(margin !== undefined && { margin: inNs(margin) }),
    isWorst,
    board: {
      period: inNs(period),
      high: inNs(high),
      arcs: named(scene.corner.arcs),
      wires: named(scene.corner.wires),
      rest: scene.rest,
      seed: scene.seed,
    },
    shown: { from: inNs(from), to: inNs(to) },
    nets: Object.fromEntries(
      tapes.map(({ net, tape }) => [
        net.name,
        {
          first: VALUE_LETTERS[tape.valueAt(from)],
          changes: [...tape.timesFs].flatMap((time, index) =>
            time > from ? [{ time: inNs(time as Fs), to: VALUE_LETTERS[tape.values[index] ?? 2] }] : [],
          ),
        },
      ]),
    ),
  };
}
