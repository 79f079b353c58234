import {
  type ProcessorBus,
  type ProcessorUse,
  type Source,
  isProcessorProblem,
  processorBus,
} from "../../parts/index.js";
import { type Fs, type Hertz, type Range, printHertz } from "../../quantity/index.js";
import type { BusMaster, ExternalInput, InputTiming, Net } from "../circuit.js";
import type { FileContext } from "../file-context.js";
import { namesInValue, signalNet } from "../net-names.js";
import type { GrowingChip, GrowingNet } from "../nets.js";
import type { Loose, Sections } from "../sections.js";
import type { ChipEntry } from "../shape.js";
import type { Wiring } from "../wiring.js";
import { type MadeStrobe, busLines } from "./bus-lines.js";
import { type Feed, readFeed } from "./clock.js";
import { commandKeys, commandsOf } from "./commands.js";
import { clockedPart } from "./clocked-part.js";
import { findingsOf } from "./findings.js";
import * as say from "./messages.js";
import { findStrobe } from "./strobe.js";

/** The keys of a chip that only a processor has. */
const KEYS = ["clock", "strobe", "cycles between writes"] as const;

export interface MastersReading {
  readonly masters: readonly BusMaster[];
  /** What comes from them and from oscillators of their own; entered in the nets already. */
  readonly inputs: readonly ExternalInput[];
}

/** A processor as the file writes it, and where the file's other parts are. */
interface Written {
  readonly chip: GrowingChip;
  readonly entry: Loose<ChipEntry>;
  readonly wiring: Wiring;
  readonly context: FileContext;
}

/**
 * Works out what the processors of a file do on its nets: the times of their pins from their figures and clock, and their
 * write strobes from the gates that make them. What else is on such a net, the strobe's last gate or a processor's own
 * oscillator, is wired but not followed: the times say what comes of it. `wire` are the limits of a wire's delay.
 */
export function readMasters(sections: Sections, wiring: Wiring, wire: Range<Fs>, context: FileContext): MastersReading {
  const entries = new Map(sections.chips);
  const inputs: ExternalInput[] = [];
  const masters = wiring.chips.flatMap((chip): BusMaster[] => {
    const written = { chip, entry: entries.get(chip.ref) ?? {}, wiring, context };
    if (!chip.part.processor) {
      complainOfKeys(written);
      return [];
    }
    const found = readMaster(written, wire, inputs);
    // Where nothing is known of the processor's times, nothing is said of its nets either.
    if (!found) for (const net of chip.nets.values()) wiring.nets.doubtful.add(net.name);
    return found ? [found] : [];
  });
  return { masters, inputs };
}

function complainOfKeys({ chip, entry, context }: Written): void {
  for (const key of KEYS) {
    if (entry[key] === undefined) continue;
    context.complainOfKey(["chips", chip.ref, key], say.notAProcessor(key, chip.ref, chip.part.number));
  }
}

/** Undefined where something is wrong, which is reported. */
function readMaster(written: Written, wire: Range<Fs>, inputs: ExternalInput[]): BusMaster | undefined {
  const { chip, entry, wiring, context } = written;
  const feed = readFeed(chip, wiring.chips, entry.clock, context);
  const strobeNet = entry.strobe === undefined ? undefined : readStrobeNet(entry.strobe, written);
  const bus = feed && readBus(feed, "pins", written);
  if (!feed || !bus || (entry.strobe !== undefined && !strobeNet)) return undefined;
  const strobe = strobeNet && readStrobe(strobeNet, { ...written, feed, bus }, wire);
  if (strobeNet && !strobe) return undefined;

  const source = sourceOf(bus, chip, feed.use.clock);
  const enter = (net: GrowingNet, timing: InputTiming): void => {
    const by = { chip: chip.ref, source, rest: restOf(net, chip, strobe) };
    if (net.input) {
      if (net.input.by) return;
      const pin = [...chip.nets].find(([, other]) => other === net)?.[0] ?? "";
      context.complainOfKey(["chips", chip.ref], say.drivenElsewhere(net.name, chip.ref, pin));
      return;
    }
    net.input = { net: net.id, timing, by };
    inputs.push(net.input);
  };
  const { fed, asked } = bus;
  const clockNet = chip.nets.get(bus.processor.clock.fedAt);
  if (clockNet && !clockNet.rail && feed.from !== "board") {
    enter(clockNet, { kind: "any time", leastHigh: fed.high, leastLow: fed.low, leastRepeat: fed.period });
  }
  const { lines, untimed } = busLines(chip, bus, strobe);
  // With a figure missing on the way nothing is known of the strobe, and so of nothing that counts from it.
  const isKnown = !strobe || strobe.found.delays.missing.size === 0;
  for (const { net, timing } of isKnown ? lines : []) if (net !== clockNet) enter(net, timing);

  // What an oscillator of its own clocks has no common time with the board: only a clock of the board's is followed.
  if (asked && feed.from === "board") chip.part = clockedPart(chip.part, bus, source);
  const isTimed = (net: Net) => lines.some((line) => line.net === net);
  const pulses = lines.filter(({ timing }) => timing.kind === "any time").map(({ net }) => net);
  const clocks = [clockNet, chip.nets.get(bus.processor.clock.pin)].flatMap((net) => net ?? []);
  const commands = commandsOf(chip, wiring.chips, new Set([...pulses, ...clocks]));
  return {
    chip,
    findings: findingsOf({ chip, bus, feed, strobe, untimed, isTimed, commands, wire, source }),
    commands: commandKeys(commands),
    resting: outputsOf(chip)
      .filter(({ net }) => !net.input)
      .map(({ net }) => ({ net: net.id, level: restOf(net, chip, strobe) })),
  };
}

function outputsOf(chip: GrowingChip) {
  return chip.part.behaviour.pins.flatMap(({ name, role }) => {
    const net = role === "output" ? chip.nets.get(name) : undefined;
    return net && !net.rail ? [{ name, net }] : [];
  });
}

/** The level of a net while the processor does nothing: its strobe not active, active-low pins and read/write high. */
function restOf(net: GrowingNet, chip: GrowingChip, strobe: MadeStrobe | undefined): 0 | 1 {
  if (net === strobe?.net) return strobe.found.active === "low" ? 1 : 0;
  const pin = [...chip.nets].find(([, other]) => other === net)?.[0] ?? "";
  return /#$|B$/.test(pin) ? 1 : 0;
}

function readStrobe(
  net: GrowingNet,
  { chip, context, ...written }: Written & { readonly feed: Feed; readonly bus: ProcessorBus },
  wire: Range<Fs>,
): MadeStrobe | undefined {
  const found = findStrobe(net, chip, written.bus, wire);
  if ("mistake" in found) return context.complain(["chips", chip.ref, "strobe"], found.mistake);
  const bus = readBus(written.feed, { gate: found.gate }, { chip, context, ...written });
  return bus && { net, found, bus };
}

function readBus(feed: Feed, at: ProcessorUse["at"], { chip, entry, context }: Written): ProcessorBus | undefined {
  const { ref, part, supply } = chip;
  const cycles = entry["cycles between writes"];
  const found = processorBus(part.processor?.record.name ?? part.number, {
    ...feed.use,
    at,
    supplyVolts: (supply.volts.min + supply.volts.max) / 2,
    ...(cycles !== undefined && { cyclesBetweenWrites: cycles }),
    ...(part.processor?.grade && { grade: part.processor.grade.name }),
  });
  if (!isProcessorProblem(found)) return found;
  return context.complain(["chips", ref, entry.clock === undefined ? "part" : "clock"], say.unusable(found.problem));
}

function readStrobeNet(text: string, { chip, wiring, context }: Written): GrowingNet | undefined {
  const path = ["chips", chip.ref, "strobe"];
  const { names } = namesInValue(text, path, context);
  const [only] = names;
  if (!only || names.length > 1) return only && context.complain(path, say.oneStrobe(text));
  return signalNet(only, "strobe", wiring.nets, context);
}

/** The sheet, with the grade and clock that its times hold for. */
function sourceOf({ processor, grade }: ProcessorBus, { supply }: GrowingChip, clock: Hertz): Source {
  const [from, to] = grade.supply;
  const isNarrower = supply.volts.min < from || supply.volts.max > to;
  const remark = isNarrower ? `, for ${from} to ${to} V only` : "";
  return {
    ...processor.source,
    fromMemory: processor.fromMemory,
    column: `${processor.name}, grade ${grade.name} at ${printHertz(clock)}${remark}`,
  };
}
