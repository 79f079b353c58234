import type { LaneUnit, SeenChange } from "./lane-unit.js";
import type { LogicNetId } from "./logic-view.js";
import type { OutsideSignal } from "./outside-signal.js";
import type { Play } from "./outside-ways.js";

/** What the nets that a unit reads do in half a period: the same in all lanes. */
export interface HalfFeed {
  readonly level: (net: LogicNetId) => 0 | 1;
  readonly changes: readonly SeenChange[];
}

/** The nets whose levels a play gives, in the order of its bits. */
export interface PlayedNets {
  readonly signals: readonly OutsideSignal[];
  readonly guessed: readonly LogicNetId[];
}

/**
 * Runs half a period: first what comes from outside, then an edge of the oscillator. `looked` is called whenever all is at
 * rest.
 */
export function runHalf(
  unit: LaneUnit,
  states: ArrayLike<number>,
  { level, changes }: HalfFeed,
  { signals, guessed }: PlayedNets,
  play: Play,
  looked: () => void = () => {},
): void {
  const nets = [...signals.map(({ net }) => net), ...guessed];
  const levelIn = (levels: number, index: number) => ((levels >> index) & 1) as 0 | 1;
  unit.begin(states, (net) => {
    const index = nets.indexOf(net);
    return index < 0 ? level(net) : levelIn(play.before, index);
  });
  looked();
  if (play.before !== play.after) {
    unit.run(nets.map((net, index) => ({ time: 0, net, level: levelIn(play.after, index) })));
    looked();
    const back = signals.flatMap(({ net, isPulse }, index) =>
      isPulse ? [{ time: 0, net, level: levelIn(play.before, index) }] : [],
    );
    if (back.length > 0) unit.run(back);
  }
  unit.run(changes);
  looked();
}
