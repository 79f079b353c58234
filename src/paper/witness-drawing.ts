import type { Replay, Witness } from "../evidence/index.js";
import { fs } from "../quantity/index.js";
import { HIGH, LOW, type Tape, UNDRIVEN } from "../simulation/index.js";
import type { Verdict } from "../timing/index.js";
import type { CycleDrawing, Lane, LaneEdge, LaneLevel, LaneSegment } from "./cycle-drawing.js";
import { verdictBrackets } from "./verdict-brackets.js";

/** One board on which a failure happens, around that moment: every net on the way as the simulation saw it. */
export function witnessDrawing(
  verdict: Verdict,
  witness: Pick<Witness, "from" | "to" | "available">,
  seen: Pick<Replay, "from" | "to" | "period" | "tapes">,
): CycleDrawing {
  const { from, to, period, tapes } = seen;
  const at = (time: number) => fs(Math.round(Math.max(from, Math.min(to, time)) - from));
  const names = tapes.map(({ net }) => net.name);
  const lane = names.includes(verdict.net) ? verdict.net : (names.at(-1) ?? "");
  // The two changes are told in the order in which they come; a negative time is between them in the other order.
  const isTurned = (witness.available ?? 0) - (verdict.allowance ?? 0) < 0;
  const [earlier, later] = isTurned ? [witness.to, witness.from] : [witness.from, witness.to];
  const firstTick = Math.ceil(from / period);
  const count = Math.floor(to / period) - firstTick + 1;
  return {
    title: `${verdict.name} on one board`,
    span: at(to),
    ticks: Array.from({ length: Math.max(0, count) }, (_, index) => at((firstTick + index) * period)),
    lanes: tapes.map(({ net, tape }) => laneOf(net.name, tape, from, to, at)),
    brackets:
      lane === "" || verdict.required === undefined
        ? []
        : verdictBrackets(verdict, lane, earlier, later).map((bracket) => ({
            ...bracket,
            from: at(Math.min(bracket.from, bracket.to)),
            to: at(Math.max(bracket.from, bracket.to)),
          })),
  };
}

function laneOf(name: string, tape: Tape, from: number, to: number, at: (time: number) => ReturnType<typeof fs>): Lane {
  const segments: LaneSegment[] = [];
  const edges: LaneEdge[] = [];
  let level = levelOf(tape.valueAt(from));
  let since = at(from);
  for (const time of tape.timesFs) {
    if (time <= from || time > to) continue;
    const next = levelOf(tape.valueAt(time));
    if (next === level) continue;
    segments.push({ from: since, to: at(time), level });
    edges.push({ earliest: at(time), latest: at(time), from: level, to: next });
    [level, since] = [next, at(time)];
  }
  segments.push({ from: since, to: at(to), level });
  return { name, kind: "signal", segments, edges };
}

function levelOf(value: number): LaneLevel {
  if (value === HIGH) return 1;
  if (value === LOW) return 0;
  return value === UNDRIVEN ? "z" : "may change";
}
