import { type Metastability, isMissing, metastabilityOf } from "../parts/index.js";
import { type Fs, fs } from "../quantity/index.js";
import { signalOf } from "./crossings.js";
import { HIGH, LOW } from "./level-set.js";
import { meanTimeLog, meanTimeText } from "./mean-time.js";
import type { ChipModel, Model, OutsideModel, OutputModel, PinModel, StorageModel } from "./model.js";
import { nsText } from "./ns-text.js";
import type { ClockRate, ClockRates } from "./power-up/clock-rate.js";
import type { Found } from "./refine.js";
import type { Verdict } from "./verdict.js";

/** How often a synchroniser fails by staying undecided for longer than it has time, or why that is not known. */
export interface SynchroniserTime {
  /** The common logarithm of the mean time between failures in seconds; absent where it is not known. */
  readonly logSeconds?: number;
  /** Time that the output has to settle, from where the figures count, over all stages. */
  readonly settling?: Fs;
  readonly clockHertz?: number;
  /** Changes of the input a second, at most. */
  readonly changesHertz?: number;
  readonly figures?: Metastability;
  /** All of it in a sentence or two. */
  readonly text: string;
}

/** A flip-flop of a synchroniser. */
interface Stage {
  readonly chip: ChipModel;
  readonly bit: StorageModel;
  readonly data: PinModel;
  readonly clock: PinModel;
}

/** The mean time between failures of the synchroniser at a place that holds; undefined for any other place. */
export function synchroniserTime(found: Found, rates: ClockRates): SynchroniserTime | undefined {
  const index = signalOf(found);
  if (index === undefined) return undefined;
  const { model, place } = found;
  const { chip: ref, pin } = place.worst;
  const first = model.chips.flatMap((chip) => (chip.chip.ref === ref ? stageAt(chip, pin) : []))[0];
  if (!first) return undefined;
  const { part } = first.chip.chip;
  const figures = model.circuit.metastability?.get(part.number) ?? metastabilityOf(part);
  const rate = rates.of(first.clock.net.net.id, isRising(first) ? "rise" : "fall");
  const settling = rate && settlingTime(model, first, rate, figures?.countedFrom ?? "clock edge");
  const has = settling === undefined ? "" : ` It has ${nsText(settling)} ns to settle.`;
  if (!figures) {
    return {
      ...(settling !== undefined && { settling }),
      text:
        `Mean time between failures: unknown, for nothing on record gives tau and T0 of ${part.number}.${has} ` +
        "The file can give them under `metastability`.",
    };
  }
  if (!rate || settling === undefined) {
    const why = rate ? "its delays and set-up times are not all on record" : "its clock follows something from outside";
    return { figures, text: `Mean time between failures: unknown, for ${why}.` };
  }
  const changesHertz = changesOf(model.outside[index]);
  if (changesHertz === undefined) {
    return {
      figures,
      settling,
      text: `Mean time between failures: unknown, for the file states no least time between two changes.${has}`,
    };
  }
  const logSeconds = meanTimeLog({
    settling: settling * 1e-15,
    tau: figures.tau,
    t0: figures.t0,
    clockRate: rate.hertz,
    changeRate: changesHertz,
  });
  const known = { logSeconds, settling, clockHertz: rate.hertz, changesHertz, figures };
  return { ...known, text: textOf(known) };
}

/** The verdict on a synchroniser with its mean time between failures; any other as it is. */
export function withMeanTime(verdict: Verdict, found: Found, rates: ClockRates): Verdict {
  const meanTime = verdict.state === "holds" ? synchroniserTime(found, rates) : undefined;
  return meanTime ? { ...verdict, meanTime, note: `${verdict.note} ${meanTime.text}` } : verdict;
}

type Known = Required<Omit<SynchroniserTime, "text">>;

/** Below so many seconds, about ten years, a builder will want to do something about it. */
const SHORT_LOG_SECONDS = 8.5;

function textOf({ logSeconds, settling, clockHertz, changesHertz, figures }: Known): string {
  const { tau, t0, publishedFor, source, fromMemory } = figures;
  const origin =
    publishedFor === ""
      ? `as the file gives them${source === "" ? "" : ` (${source})`}`
      : `published for the ${publishedFor} (${source}${fromMemory ? "; from memory" : ""})`;
  return (
    `Mean time between failures: about ${meanTimeText(logSeconds)}, at no more than ${inWords(changesHertz)} changes a second; ` +
    `${nsText(settling)} ns to settle, ${inWords(clockHertz)} clocks a second, tau ${shortTime(tau)} and T0 ${shortTime(t0)} ${origin}.` +
    (logSeconds < SHORT_LOG_SECONDS ? " Clock it more slowly, add a stage, or take a faster family." : "")
  );
}

/** The flip-flops that take a pin. */
function stageAt(chip: ChipModel, pinName: string): Stage[] {
  const data = chip.pins.find(({ name }) => name === pinName);
  if (!data) return [];
  return chip.storage.flatMap((bit) => {
    const clocks = chip.pins.filter(({ slot }) => chip.gates[bit.gate]?.logic.slots.includes(slot));
    const [clock] = clocks;
    if (bit.kind !== "register" || !bit.next.slots.includes(data.slot) || clocks.length !== 1 || !clock) return [];
    return [{ chip, bit, data, clock }];
  });
}

function isRising({ chip, bit, clock }: Stage): boolean {
  const logic = chip.gates[bit.gate]?.logic;
  return logic?.possible((slot) => (slot === clock.slot ? HIGH : LOW)) === HIGH;
}

/** The output of a stage and the next stage, where nothing else reads it. */
function nextStage({ chip, bit, clock }: Stage): { readonly output: OutputModel; readonly stage: Stage } | undefined {
  const outputs = chip.outputs.filter(({ value }) => value !== "memory" && value.slots.includes(bit.slot));
  const readers = outputs.flatMap((output) => output.net.receivers.map((receiver) => ({ output, ...receiver })));
  const [only] = readers;
  if (readers.length !== 1 || !only) return undefined;
  const [stage] = stageAt(only.chip, only.pin.name);
  return stage && stage.clock.net === clock.net ? { output: only.output, stage } : undefined;
}

/**
 * From one capture to the next, less set-up time, wires and what the clock may come earlier at the next stage; each further
 * stage that only passes on adds the same again. Most publications count from the clock's edge, so that the clock-to-output
 * time is not taken off.
 */
function settlingTime(
  { circuit }: Model,
  first: Stage,
  { leastGap }: ClockRate,
  countedFrom: Metastability["countedFrom"],
): Fs | undefined {
  let total = 0;
  const seen = new Set<StorageModel>();
  for (let from = first; !seen.has(from.bit);) {
    seen.add(from.bit);
    const next = nextStage(from);
    if (!next) return seen.size > 1 ? fs(total) : undefined;
    const { stage, output } = next;
    const setUp = stage.chip.chip.part.figures.window("set-up", stage.data.name, stage.clock.name);
    const delays = (["rise", "fall"] as const).map((change) =>
      from.chip.chip.part.figures.delay(from.clock.name, isRising(from) ? "rise" : "fall", output.pin, change),
    );
    if (isMissing(setUp)) return undefined;
    const wires = circuit.wireDelay.max * (stage.chip.chip === from.chip.chip ? 1 : 2);
    total += leastGap - setUp.time - wires;
    if (countedFrom === "output") {
      for (const delay of delays) if (isMissing(delay)) return undefined;
      total -= Math.max(...delays.map((delay) => (isMissing(delay) ? 0 : delay.max)));
    }
    from = stage;
  }
  return fs(total);
}

/** Changes a second at most, by the signal's least times; undefined where they allow any number. */
function changesOf(outside: OutsideModel | undefined): number | undefined {
  if (outside?.input.timing.kind !== "any time") return undefined;
  const { leastRepeat, leastHigh, leastLow } = outside.input.timing;
  const repeat = Math.max(leastRepeat, leastHigh + leastLow);
  return repeat > 0 ? (outside.edges.length * 1e15) / repeat : undefined;
}

/** `1.57 million`, `384,615`. */
function inWords(value: number): string {
  return value >= 1e6
    ? `${Number((value / 1e6).toPrecision(3)).toLocaleString("en")} million`
    : Number(value.toPrecision(3)).toLocaleString("en");
}

/** `0.4 s`, `8.7 µs`, `135 ps`. */
function shortTime(seconds: number): string {
  const units = [
    ["s", 1],
    ["ms", 1e-3],
    ["µs", 1e-6],
    ["ns", 1e-9],
    ["ps", 1e-12],
  ] as const;
  const [unit, size] = units.find(([, one]) => seconds >= 0.1 * one) ?? (["ps", 1e-12] as const);
  return `${Number((seconds / size).toPrecision(3)).toLocaleString("en")} ${unit}`;
}
