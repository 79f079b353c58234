import type { Circuit } from "../../circuit/index.js";
import { ownSupplyCurrent } from "../../electrical/index.js";
import { type Board, type BoardPin, pinLabel } from "../board/board.js";
import { hertzText, readingText } from "../diagnose/words.js";
import type { FaultBench } from "../signature/catalogue.js";
import type { Reading, Readings } from "../signature/reading.js";
import { NetDependence, blocksOf } from "./good-nets.js";

export type Instrument = "meter" | "logic probe" | "LED" | "frequency counter" | "oscilloscope" | "monitor";

/** What to expect at one place. */
export interface Check {
  /** `U2.2 1Q`, or what else is looked at. */
  readonly at: string;
  readonly net: string;
  readonly instrument: Instrument;
  /** `1.573 MHz, 62 % high`. */
  readonly expected: string;
  /** By how much it may be off: `0.01 %`. */
  readonly tolerance: string;
  readonly hertz?: number;
  /** What is likely wrong if it differs. */
  readonly otherwise: string;
}

/** One step of bringing a board up. */
export interface BringUpStep {
  readonly number: number;
  readonly title: string;
  /** Chips to put into their sockets, with part numbers. */
  readonly plug: readonly string[];
  readonly what: string;
  readonly checks: readonly Check[];
}

/** Checks of a block at most: those that say most. */
const MOST_CHECKS = 6;
/** What a counter of a hobby shop follows, and what an eye sees blinking. Common practice. */
const SLOWEST_COUNTED = 5;
const OWN_SUPPLY_LIMIT = 100;

/** The board in the order of bringing it up, with what to expect at each step; the processor rests meanwhile. */
export function bringUpOf({ board, good }: FaultBench): readonly BringUpStep[] {
  const { circuit } = board;
  const dependence = new NetDependence(board);
  const steps: Omit<BringUpStep, "number">[] = [supplyStep(circuit)];
  const plugged = new Set<number>();
  let known: ReadonlySet<number> = new Set();
  let milliamps = 0;
  let isSure = true;
  for (const block of blocksOf(board, dependence)) {
    for (const chip of block) {
      plugged.add(chip);
      const part = circuit.chips[chip]?.part;
      const amperes = part && ownSupplyCurrent(part, circuit.ambientCelsius.max)?.value;
      if (amperes === undefined) isSure = false;
      else milliamps += 1000 * amperes;
    }
    const now = dependence.good(plugged);
    const fresh = [...now].filter((node) => !known.has(node));
    known = now;
    const refs = block.map((chip) => `${circuit.chips[chip]?.ref} (${circuit.chips[chip]?.part.number})`);
    const notes = block.flatMap((chip) => circuit.chips[chip]?.note || []);
    const steady = fresh.filter((node) => !dependence.showMemory.has(node));
    steps.push({
      title: notes[0] ?? refs.join(", "),
      plug: refs,
      what: `${isSure ? "" : "At least so far as sheets say: "}the supply gives up to ${Math.ceil(milliamps)} mA, and what switching takes.`,
      checks: steady
        .map((node) => checkOf(board, node, good.readings.at(node), circuit))
        .filter((check) => check !== undefined)
        .sort((a, b) => Number(b.hertz !== undefined) - Number(a.hertz !== undefined))
        .slice(0, MOST_CHECKS),
    });
  }
  const [screen] = good.screens ?? [];
  if (screen?.locked) {
    steps.push({
      title: "The monitor",
      plug: [],
      what: "Switch off, connect the monitor, switch on. An old monitor with one line rate of its own can be damaged by another.",
      checks: [
        {
          at: "the screen",
          net: "",
          instrument: "monitor",
          expected: `a picture that stands, ${hertzText(screen.lineHz)} and ${hertzText(screen.frameHz)}; dots at random until the memory is filled`,
          tolerance: "0.5 %",
          otherwise: "Compare with the pictures of 'dotwright diagnose --gallery'.",
        },
      ],
    });
  }
  return steps.map((step, index) => ({ number: index + 1, ...step }));
}

function supplyStep({ supplies, chips }: Circuit): Omit<BringUpStep, "number"> {
  return {
    title: "The supply, without chips",
    plug: [],
    what:
      `All sockets empty, the current limited to ${OWN_SUPPLY_LIMIT} mA. Next to nothing may flow. ` +
      "Then measure every socket, black lead on its ground pin.",
    checks: supplies.map(({ name, volts }) => ({
      at: `the supply pin of every socket on ${name === "main" ? "the main supply" : name}: ${chips
        .filter(({ supply }) => supply.name === name)
        .map(({ ref }) => ref)
        .join(", ")}`,
      net: name === "main" ? "high" : name,
      instrument: "meter" as const,
      expected: `${volts.min} to ${volts.max} V`,
      tolerance: "as given",
      otherwise:
        "Nothing: a missing wire. Less, or a current: a short; take wires off by halves. Negative: rails exchanged.",
    })),
  };
}

function checkOf(board: Board, node: number, readings: Readings | undefined, circuit: Circuit): Check | undefined {
  const pin = board.pins.find((one) => one.node === node && one.drives && one.kind === "chip");
  if (!pin || !readings) return undefined;
  const [one, other] = readings;
  if (Math.abs(one.hertz - other.hertz) > 0.01 * one.hertz || one.open > 0.5) return undefined;
  const isStill = one.hertz < 0.5;
  if (isStill && Math.abs(one.duty - other.duty) > 0.5) return undefined;
  const ppm = rateTolerance(circuit);
  return {
    at: pinLabel(pin),
    net: board.nodeNames[node] ?? "",
    instrument: instrumentFor(one),
    expected: readingText(one),
    tolerance: isStill ? "a clear level" : `${(ppm * 100).toPrecision(2)} % in frequency, 3 % in duty`,
    ...(!isStill && { hertz: one.hertz }),
    otherwise: isStill
      ? `Follow its inputs, which are good by now: a missing wire at ${pin.chip?.ref ?? ""}.`
      : likelyFaults(pin, one),
  };
}

/** By how much any frequency may be off, as a share: the oscillator's tolerance. */
function rateTolerance({ chips }: Circuit): number {
  const [first] = chips.flatMap(({ part }) => part.oscillation ?? []);
  return first ? (first.period.max - first.period.min) / (first.period.max + first.period.min) : 0;
}

/** A counter wants some hertz, an LED is seen blinking below them, levels show on a probe. Common practice. */
function instrumentFor({ hertz, duty }: Reading): Instrument {
  if (hertz < 0.5) return "logic probe";
  if (hertz < SLOWEST_COUNTED) return "LED";
  return duty > 0.02 && duty < 0.98 ? "frequency counter" : "oscilloscope";
}

function likelyFaults({ chip }: BoardPin, { hertz }: Reading): string {
  if (chip?.part.oscillation) return `Another frequency: another can. Still: no supply at ${chip.ref}, or its enable.`;
  return (
    `${hertzText(2 * hertz)}: the tap one stage earlier. ${hertzText(hertz / 2)}: one stage later. ` +
    `Still: a clock, clear or enable of ${chip?.ref ?? "it"} that is missing or at the wrong level.`
  );
}

/** What a frequency says that is not the expected one: whose it is, in a sentence. Undefined where it is as expected. */
export function explainHertz(bench: FaultBench, expected: number, measured: number): string | undefined {
  if (isNear(measured, expected)) return undefined;
  return `${hertzText(measured)} in place of ${hertzText(expected)}. ${whoseHertz(bench, expected, measured)}`;
}

/** Which tap or which nets have a frequency that is not the expected one. */
export function whoseHertz({ board, good }: FaultBench, expected: number, measured: number): string {
  const stages = Math.round(Math.log2(measured / expected));
  const told: string[] = [];
  if (stages !== 0 && isNear(measured, expected * 2 ** stages)) {
    told.push(
      `It is ${stages > 0 ? 2 ** stages : `1/${2 ** -stages}`} times ${hertzText(expected)}: the tap ${count(Math.abs(stages))} ${stages > 0 ? "earlier" : "later"}.`,
    );
  }
  const owners = good.readings.nodes.filter((node) => isNear(measured, good.readings.at(node)?.[0].hertz ?? 0));
  const names = owners.slice(0, 4).map((node) => board.nodeNames[node]);
  if (names.length > 0) told.push(`That is the frequency of ${names.join(", ")}.`);
  return told.length > 0 ? told.join(" ") : "No net of the circuit has this frequency.";
}

function isNear(a: number, b: number): boolean {
  return Math.abs(a - b) <= 0.01 * b;
}

function count(stages: number): string {
  return stages === 1 ? "one stage" : `${stages} stages`;
}
