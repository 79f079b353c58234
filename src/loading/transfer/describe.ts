import type { Circuit, NetId } from "../../circuit/index.js";
import { PinClock } from "./pin-clock.js";
import type { Level } from "./pins.js";
import { strobesOf } from "./sender.js";
import { type WritePath, levelsFor } from "./write-path.js";

/** One step of sending a byte, for people: when it comes at the earliest, and what is done. */
export interface DescribedStep {
  /** Femtoseconds from the begin of the byte. */
  readonly timeFs: number;
  /** Input buses and nets that are set: what of them is address and data is not said. */
  readonly lines: readonly NetId[];
  /** A net that has to have a level meanwhile. */
  readonly holds?: { readonly net: NetId; readonly level: Level };
  /** A net that goes to a level. */
  readonly sets?: { readonly net: NetId; readonly level: Level };
  /** Which time of how many, where a pulse comes several times. */
  readonly pulse?: { readonly number: number; readonly of: number };
}

/** What is set in one cycle of a bus that the board clocks, behind which of its edges, and how long after it at the latest. */
export interface CycleStep {
  readonly edge: "rise" | "fall";
  readonly withinFs: number;
  readonly lines: readonly NetId[];
  readonly held: ReadonlyMap<NetId, Level>;
}

/** How one byte goes over a bus that the board clocks; nothing where it goes another way. */
export function describeCycle({ inputs }: Circuit, { stages, address, data }: WritePath): readonly CycleStep[] {
  const [stage] = stages;
  if (!stage?.strobe.beat) return [];
  const sources = [...address, ...data].flatMap((source) => (source.kind === "line" ? [source.net] : []));
  const steps = new Map<string, { edge: "rise" | "fall"; withinFs: number; lines: NetId[]; held: Map<NetId, Level> }>();
  for (const net of [...sources, ...stage.held.keys()]) {
    const timing = inputs.find((input) => input.net === net)?.timing;
    if (timing?.kind !== "after" && timing?.kind !== "steady around") continue;
    const withinFs = timing.kind === "after" ? timing.delay.max : timing.after;
    const key = `${timing.edge} ${withinFs}`;
    const step = steps.get(key) ?? {
      ...{ edge: timing.edge, withinFs },
      lines: new Array<NetId>(),
      held: new Map<NetId, Level>(),
    };
    steps.set(key, step);
    const level = stage.held.get(net);
    if (level === undefined) step.lines.push(net);
    else step.held.set(net, level);
  }
  const [first] = steps.values();
  const place = ({ edge, withinFs }: CycleStep) => (edge === first?.edge ? 0 : 1e15) + withinFs;
  return [...steps.values()].sort((one, other) => place(one) - place(other));
}

/** How one byte is sent, step after step, as early as may be when a byte was sent before it. Of a chain the first and last pulse. */
export function describeByte(circuit: Circuit, path: WritePath): readonly DescribedStep[] {
  const clock = new PinClock(circuit, path.rest, strobesOf(path));
  // One byte before, so that what it asks of the next one counts.
  const send = (byte: number, told: (step: DescribedStep) => void) => {
    const levels = levelsFor(path, byte === 0 ? 0 : 2 ** 32 - 1, byte);
    path.stages.forEach((stage, index) => {
      (levels[index] ?? []).forEach((of, pulse) => {
        const number = { ...(stage.pulses > 1 && { pulse: { number: pulse + 1, of: stage.pulses } }) };
        for (const [net, level] of stage.held) {
          clock.set(net, level);
          told({ timeFs: clock.now, lines: [], holds: { net, level }, ...number });
        }
        for (const [net, level] of of) clock.set(net, level);
        if (of.size > 0) told({ timeFs: clock.now, lines: [...of.keys()], ...number });
        for (const level of [stage.strobe.rest === 1 ? 0 : 1, stage.strobe.rest] as const) {
          clock.set(stage.strobe.net, level);
          told({ timeFs: clock.now, lines: [], sets: { net: stage.strobe.net, level }, ...number });
        }
      });
    });
  };
  send(0, () => undefined);
  const steps: DescribedStep[] = [];
  send(0xff, (step) => steps.push(step));
  const begin = steps[0]?.timeFs ?? 0;
  return steps
    .map((step) => ({ ...step, timeFs: step.timeFs - begin }))
    .filter(({ pulse }) => !pulse || pulse.number === 1 || pulse.number === pulse.of);
}
