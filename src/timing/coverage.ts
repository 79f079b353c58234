import type { Exploration } from "./explore.js";
import type { Model } from "./model.js";
import { isMended, type PowerUp } from "./power-up/power-up.js";
import { type Proved, ticksText } from "./power-up/verdicts.js";

/** What a proof has looked at, and how it is known that nothing else can occur. */
export interface Coverage {
  /** Oscillator periods from the start of the proof, and of those the ones before the state repeats for ever. */
  readonly ticks: number;
  readonly leadTicks: number;
  readonly cycleTicks: number;
  /** Different situations among them. */
  readonly situations: number;
  /** Signals from outside that may change at any time: followed, and taken as quiet. */
  readonly followed: readonly string[];
  readonly quiet: readonly string[];
  /** Most states at one moment that what follows them, or other data, can be in. */
  readonly mostStatesAtOnce: number;
  /** Control rests on data, of memory or from outside, whose value is not known. */
  readonly restsOnData: boolean;
  readonly powerUp: {
    readonly bits: number;
    readonly bitsNotFollowed: number;
    /** Oscillator periods to the proved cycle from any state; absent where some state never comes there. */
    readonly ticks?: number;
    /** Oscillator periods that the reset must be held for first; 0 where none is needed. */
    readonly heldTicks: number;
  };
  /** The same in a few sentences. */
  readonly text: string;
}

export function coverageOf(model: Model, exploration: Exploration, started: PowerUp, proved: Proved): Coverage {
  const { leadTicks, cycleTicks, situations, variants } = exploration;
  const names = model.outside.flatMap(({ input: { timing }, edges, net }) =>
    timing.kind === "any time" && edges.length > 0 ? [net.net.name] : [],
  );
  const isFollowed = model.outsideStepTicks > 0;
  const { bits, bitsNotFollowed, heldTicks, obstacles } = started;
  const isWhole = obstacles.every(isMended);
  const found: Omit<Coverage, "text"> = {
    ticks: leadTicks + cycleTicks,
    leadTicks,
    cycleTicks,
    situations,
    followed: isFollowed ? names : [],
    quiet: isFollowed ? [] : names,
    mostStatesAtOnce: variants,
    restsOnData: controlRestsOnData(model),
    powerUp: { bits, bitsNotFollowed, ...(isWhole && { ticks: started.ticks }), heldTicks },
  };
  return { ...found, text: coverageText(found, proved) };
}

function controlRestsOnData({ nets, control, dependents, outside }: Model): boolean {
  const timed = new Set(outside.filter(({ input }) => input.timing.kind === "any time").map(({ net }) => net.net.id));
  return nets.some(
    ({ net, drivers }) =>
      control.nets.has(net.id) &&
      dependents.nets.has(net.id) &&
      !timed.has(net.id) &&
      (drivers.length === 0 || drivers.some(({ output }) => output.value === "memory")),
  );
}

function coverageText(found: Omit<Coverage, "text">, proved: Proved): string {
  const { ticks, leadTicks, cycleTicks, situations, followed, quiet, mostStatesAtOnce, restsOnData, powerUp } = found;
  const count = (value: number) => value.toLocaleString("en");
  return [
    `Proved: ${count(ticks)} oscillator periods with ${count(situations)} different situations`,
    `; after ${leadTicks === 0 ? "them" : `the first ${count(leadTicks)}`} the whole state comes back every ${count(cycleTicks)}, so nothing else can occur.`,
    followed.length > 0
      ? ` ${listed(followed)} changed or not wherever ${followed.length > 1 ? "they" : "it"} may, ${count(mostStatesAtOnce)} states at once at most.`
      : "",
    quiet.length > 0 ? ` ${listed(quiet)} taken as quiet.` : "",
    restsOnData ? " Control that rests on data was followed for either value." : "",
    startText(powerUp, proved),
  ].join("");
}

function startText({ bits, bitsNotFollowed, ticks, heldTicks }: Coverage["powerUp"], proved: Proved): string {
  const count = bits + bitsNotFollowed;
  const all = `${count.toLocaleString("en")} ${count === 1 ? "bit" : "bits"} of control storage`;
  if (ticks === undefined) {
    return ` Not from every start: see power-up (${bits.toLocaleString("en")} of ${all} followed).`;
  }
  if (bits === 0) return "";
  const from = heldTicks > 0 ? " of the reset's release" : "";
  return ` From any state of ${all} it is in this cycle within ${ticksText(ticks, proved)}${from}.`;
}

function listed(names: readonly string[]): string {
  return names.length > 4 ? `${names.slice(0, 3).join(", ")} and ${names.length - 3} more` : names.join(", ");
}
