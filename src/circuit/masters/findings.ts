import { type Fs, fs, printTime } from "../../quantity/index.js";
import type { MasterFinding, Net } from "../circuit.js";
import type { GrowingChip } from "../nets.js";
import { type MadeStrobe, isSeen } from "./bus-lines.js";
import type { Command } from "./commands.js";
import type { Feed } from "./clock.js";
import { aboutMaster, restsOn } from "./finding.js";
import { type ReadingOf, readingFindings } from "./reading-findings.js";
import type { SelectSlack, Strobe } from "./strobe.js";

export interface Findings extends ReadingOf {
  readonly feed: Feed;
  readonly strobe: MadeStrobe | undefined;
  /** Pins whose times count from a net that is not there. */
  readonly untimed: readonly string[];
  /** Whether a net is given its times by this processor. */
  readonly isTimed: (net: Net) => boolean;
  readonly commands: readonly Command[];
}

/** What can be said of a processor besides the times of its nets: whether its strobe is made well, and what nobody judges. */
export function findingsOf(about: Findings): readonly MasterFinding[] {
  return [
    ...(about.strobe ? [ofStrobe(about.strobe, about)] : []),
    ...clockOfBoard(about),
    ...untimedOutputs(about),
    ...commanded(about),
    ...readingFindings(about),
    ...waiting(about),
  ];
}

function ofStrobe(strobe: MadeStrobe, { chip, bus, source }: Findings): MasterFinding {
  const { net, found } = strobe;
  const at = { ...aboutMaster("strobe", chip, source), item: net.name, net: net.name };
  const { untimed, others } = found;
  const missing = [...found.delays.missing];
  if (missing.length > 0) return { ...at, state: "not covered", missing, note: "" };
  if (found.comesInReads) {
    const { writesWhileLow = "" } = bus.processor.gating;
    return {
      ...at,
      state: "fails",
      note: `${net.name} comes when ${chip.ref} reads too: gate it with ${writesWhileLow} low.`,
    };
  }
  const ways = timesOf(strobe, chip, bus.gating.pin);
  const beside = others.length > 0 ? ` ${others.join(", ")} are taken to stand still during a write.` : "";
  if (untimed.length > 0) {
    const note = `${ways} No sheet on record tells when ${untimed.join(", ")} of ${chip.ref} change about it.${beside}`;
    return { ...at, state: "not covered", note };
  }
  const worst = worstOf(found);
  if (!worst) return { ...at, state: "holds", note: `${ways}${beside}` };
  const margin = fs(Math.min(worst.before, worst.after));
  const by = printTime(fs(Math.abs(margin)));
  const when =
    worst.before <= worst.after
      ? `Where ${worst.pin} meets it at a gate, it stands ${by} ${margin < 0 ? "after" : "before"} it begins`
      : `Where ${worst.pin} meets it at a gate, it changes ${by} ${margin < 0 ? "before" : "after"} it is over`;
  const harm = margin < 0 ? ": a false pulse can come" : "";
  return {
    ...at,
    state: margin < 0 ? "fails" : "holds",
    reference: worst.pin,
    margin,
    note: `${ways} ${when}${harm}.${beside}`,
    restsOn: restsOn(found.delays, source, "all"),
  };
}

/** When the strobe comes and what stands about it, in a sentence or two. */
function timesOf({ net, found, bus }: MadeStrobe, { ref }: GrowingChip, pin: string): string {
  const pulse = bus.inputs.find((line) => line.timing === "any time" && line.pins.length === 0);
  const lasts =
    pulse?.timing === "any time"
      ? `, lasts ${printTime(pulse.low.time)} and repeats after ${printTime(pulse.repeat.time)} at least`
      : "";
  const about = bus.inputs.flatMap((line) =>
    line.timing === "steady around" && line.pins.length > 0
      ? `${line.pins[0]} to ${line.pins.at(-1)} stand from ${printTime(line.before.time)} before its end until ${sinceEnd(line.after.time)}`
      : [],
  );
  const first = found.endedBy.length > 0 ? ` It may end with ${found.endedBy.join(", ")} first.` : "";
  return (
    `${net.name} begins and ends ${printTime(found.gate.min)} to ${printTime(found.gate.max)} after ${pin} of ${ref}${lasts}. ` +
    `${about.join(", ")}.${first}`
  );
}

function sinceEnd(time: Fs): string {
  return time < 0 ? `${printTime(fs(-time))} before it` : `${printTime(time)} after it`;
}

function worstOf({ selects }: Strobe): SelectSlack | undefined {
  const least = ({ before, after }: SelectSlack): Fs => (before < after ? before : after);
  return [...selects].sort((a, b) => least(a) - least(b))[0];
}

/** A clock that the board makes, where the times of the bus count from another pin and so nothing is asked of it. */
function clockOfBoard({ chip, bus, feed, source }: Findings): readonly MasterFinding[] {
  const pin = bus.processor.clock.fedAt;
  const net = chip.nets.get(pin);
  if (feed.from !== "board" || bus.asked || !net) return [];
  const { high, low, period } = bus.fed;
  const note =
    `That ${net.name} is high for ${printTime(high)}, low for ${printTime(low)} and repeats after ${printTime(period)} ` +
    `at least is taken from the file and not compared with what drives it.`;
  return [{ ...aboutMaster("processor", chip, source), item: pin, pin, net: net.name, state: "not covered", note }];
}

/** Chips that do at its command what is not judged; what only brings it data is told of with what it reads. */
function commanded({ chip, commands, strobe, source }: Findings): readonly MasterFinding[] {
  const own = new Set(
    chip.part.behaviour.pins.flatMap(({ name, role }) => (role === "in-out" ? (chip.nets.get(name) ?? []) : [])),
  );
  const chips = [...new Set(commands.map((command) => command.chip))].filter(({ part, nets }) => {
    const { outputs, storage, memory } = part.behaviour;
    const driven = [...outputs.map(({ pin }) => pin), ...(memory?.data ?? [])].flatMap((pin) => nets.get(pin) ?? []);
    return storage.length > 0 || memory?.write !== undefined || driven.some((net) => !own.has(net));
  });
  return chips.map((other) => {
    const pins = commands.filter((command) => command.chip === other);
    const words = pins.map(({ pin, net }) => `${pin} (${net.name})`).join(", ");
    const advice = strobe
      ? ""
      : ` If one of these nets is the board's write strobe, name it under 'strobe' of ${chip.ref}.`;
    return {
      ...aboutMaster("processor", chip, source),
      item: `commands ${other.ref}`,
      net: pins[0]?.net.name ?? "",
      state: "not covered",
      note: `${chip.ref} commands ${other.ref} at ${words} at times that are not known: what ${other.ref} does is left out.${advice}`,
    };
  });
}

/** Outputs that chips look at and for which there are no times. */
function untimedOutputs({ chip, bus, strobe, untimed, isTimed, source }: Findings): readonly MasterFinding[] {
  const outputs = chip.part.behaviour.pins.filter(({ role }) => role === "output");
  const open = outputs.flatMap(({ name }) => {
    const net = chip.nets.get(name);
    const isTold = net && (isTimed(net) || !isSeen(net, chip, strobe, false));
    return net && !net.rail && !isTold ? [{ name, net }] : [];
  });
  return open.map(({ name, net }) => ({
    ...aboutMaster("processor", chip, source),
    item: name,
    pin: name,
    net: net.name,
    state: "not covered",
    note: untimed.includes(name)
      ? `The times of ${name} count from ${bus.processor.clock.pin}, which is on no net. What follows from ${net.name} is not judged.`
      : `No sheet on record tells when ${name} changes. What follows from ${net.name} is not judged.`,
  }));
}

/** A pin that makes it wait and that something drives, where nothing is asked of it. */
function waiting({ chip, bus, feed, source }: Findings): readonly MasterFinding[] {
  const { wait, clock } = bus.processor;
  const { waits } = bus;
  const net = chip.nets.get(wait.pin);
  if (!net || net.rail || wait.asynchronous || (waits && feed.from === "board")) return [];
  const asked = waits
    ? `It must stand from ${printTime(waits.setUp)} before the ${waits.edge} of ${clock.pin} until ${printTime(waits.hold)} after it.`
    : "";
  const note = `Whether ${wait.pin} changes in time is not judged. ${asked}`.trim();
  return [
    {
      ...aboutMaster("processor", chip, source),
      item: wait.pin,
      pin: wait.pin,
      net: net.name,
      state: "not covered",
      note,
    },
  ];
}
