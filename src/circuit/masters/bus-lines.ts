import { type ProcessorBus, type ProcessorInput, namesIn } from "../../parts/index.js";
import { range } from "../../quantity/index.js";
import { commandPins } from "../command-pins.js";
import type { InputTiming, Net } from "../circuit.js";
import type { GrowingChip, GrowingNet } from "../nets.js";
import type { Strobe } from "./strobe.js";

/** A write strobe that gates make, and the times about it. */
export interface MadeStrobe {
  readonly net: GrowingNet;
  readonly found: Strobe;
  /** The processor's bus with the strobe behind those gates. */
  readonly bus: ProcessorBus;
}

/** A net that a processor gives its times. */
export interface BusLine {
  readonly net: GrowingNet;
  readonly timing: InputTiming;
}

/** The nets of a processor's pins with their times, and pins whose times count from a net that is not there. */
export interface BusLines {
  readonly lines: readonly BusLine[];
  readonly untimed: readonly string[];
}

/**
 * What is known of each of a processor's nets: the strobe and what stands about it, and by its own lines whatever else looks
 * at the processor. Nets that only lead to the strobe are left out.
 */
export function busLines(chip: GrowingChip, bus: ProcessorBus, strobe: MadeStrobe | undefined): BusLines {
  const about = strobe?.bus.inputs ?? [];
  const told = new Set(about.flatMap(({ pins }) => pins));
  const netsOf = ({ pins }: ProcessorInput) =>
    pins.flatMap((pin) => {
      const net = chip.nets.get(pin);
      return net && !net.rail ? [{ pin, net }] : [];
    });
  const own = bus.inputs.flatMap((line) => netsOf(line).map((at) => ({ ...at, line })));
  const seen = own.filter(
    ({ pin, net, line }) => !told.has(pin) && isSeen(net, chip, strobe, line.timing === "any time"),
  );
  const referred = new Set(seen.flatMap(({ line }) => ("reference" in line ? [pinIn(line.reference)] : [])));
  const wanted = own.filter((one) => seen.includes(one) || (referred.has(one.pin) && !told.has(one.pin)));
  const untimed: string[] = [];
  const lines = [
    ...about.flatMap((line) =>
      line.pins.length === 0 && strobe
        ? [{ pin: "", net: strobe.net, line }]
        : netsOf(line).map((at) => ({ ...at, line })),
    ),
    ...wanted,
  ].flatMap(({ pin, net, line }): BusLine[] => {
    const reference =
      "reference" in line ? referenceOf(line, chip, about.includes(line) ? strobe : undefined) : undefined;
    const timing = timingOf(line, reference, strobe?.net === net && strobe.found.active === "high");
    if (!timing) untimed.push(pin);
    return timing ? [{ net, timing }] : [];
  });
  return { lines, untimed };
}

/**
 * Whether something looks at a net, through gates that do not lead to the strobe: a chip that stores takes it for data, or a
 * pulse makes a chip do something. What other nets make chips do is never known in time (see `commands.ts`).
 */
export function isSeen(
  net: Net,
  chip: GrowingChip,
  strobe: MadeStrobe | undefined,
  isPulse: boolean,
  visited = new Set<Net>(),
): boolean {
  if (net === strobe?.net || visited.has(net)) return false;
  visited.add(net);
  return net.receivers.some((receiver) => {
    if (receiver.chip.ref === chip.ref) return false;
    const { behaviour } = receiver.chip.part;
    if (commandPins(behaviour).includes(receiver.pin)) return isPulse;
    if (behaviour.storage.length > 0 || behaviour.memory) return true;
    return behaviour.outputs.some(({ pin, value }) => {
      const next = receiver.chip.nets.get(pin);
      const names = namesIn(value);
      // A pulse that other nets let through is as unknown in time as they are.
      const isAlone = names.every((name) => name === receiver.pin || receiver.chip.nets.get(name)?.rail);
      if (!next || !names.includes(receiver.pin) || (isPulse && !isAlone)) return false;
      return isSeen(next, chip, strobe, isPulse, visited);
    });
  });
}

function pinIn(reference: string): string {
  return reference.replace(/ (rise|fall)$/, "");
}

/** The edge that a line counts from; of a made strobe, the end of its pulse. */
function referenceOf(
  line: ProcessorInput & { readonly reference: string },
  chip: GrowingChip,
  strobe: MadeStrobe | undefined,
) {
  if (strobe)
    return { net: strobe.net.id, edge: strobe.found.active === "low" ? ("rise" as const) : ("fall" as const) };
  const net = chip.nets.get(pinIn(line.reference));
  return net && !net.rail
    ? { net: net.id, edge: line.reference.endsWith("rise") ? ("rise" as const) : ("fall" as const) }
    : undefined;
}

/** Undefined where the edge that the times count from is on no net. */
function timingOf(
  line: ProcessorInput,
  reference: ReturnType<typeof referenceOf>,
  isInverted: boolean,
): InputTiming | undefined {
  if (line.timing === "any time") {
    const [high, low] = isInverted ? [line.low, line.high] : [line.high, line.low];
    return { kind: "any time", leastHigh: high.time, leastLow: low.time, leastRepeat: line.repeat.time };
  }
  if (!reference) return undefined;
  return line.timing === "after"
    ? { kind: "after", ...reference, delay: range(line.from.time, line.to.time) }
    : { kind: "steady around", ...reference, before: line.before.time, after: line.after.time };
}
