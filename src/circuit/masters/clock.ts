import type { ProcessorUse } from "../../parts/index.js";
import { type Hertz, isMisread, parseHertz, printHertz, range } from "../../quantity/index.js";
import type { FileContext } from "../file-context.js";
import { quantity } from "../messages.js";
import type { GrowingChip, GrowingNet } from "../nets.js";
import type { Path } from "../value.js";
import * as say from "./messages.js";

/** How a processor is clocked. */
export interface Feed {
  /** The rate of the pin that times count from, and high over period of the clock that is fed in. */
  readonly use: Pick<ProcessorUse, "clock" | "duty">;
  /** Where the clock comes from: an oscillator of its own, other chips of the board, or from outside the file. */
  readonly from: "own oscillator" | "board" | "outside";
}

/** Beyond these no processor is clocked, and times need not be counted. */
const SLOWEST_HERTZ = 10_000;
const FASTEST_HERTZ = 1e9;

/** `4 MHz`, `4 MHz, 45 to 55 % high`. */
const CLOCK = /^([^,]*?)\s*(?:,\s*(\d+(?:\.\d+)?)\s*(?:to|-)\s*(\d+(?:\.\d+)?)\s*%\s*high)?$/;

/**
 * Finds the clock of a processor: `clock` of the file, or the oscillator at the pin where one is fed in. One that is the only
 * oscillator of the circuit is the board's, not the processor's own.
 */
export function readFeed(
  chip: GrowingChip,
  chips: readonly GrowingChip[],
  written: string | undefined,
  context: FileContext,
): Feed | undefined {
  const { processor } = chip.part;
  if (!processor) return undefined;
  const { fedAt, divide } = processor.record.clock;
  const path: Path = ["chips", chip.ref, "clock"];
  const stated = written === undefined ? undefined : readClock(written, path, context);
  const net = chip.nets.get(fedAt);
  const can = net && canOn(net, chips);
  const isOwn = can !== undefined && chips.filter(({ part }) => part.oscillation).length > 1;
  const from = isOwn ? "own oscillator" : net && net.drivers.length > 0 ? "board" : "outside";
  if (written !== undefined && !stated) return undefined;
  if (!can?.part.oscillation) {
    if (stated) return { use: stated, from };
    return context.complainOfKey(["chips", chip.ref], say.noClock(chip.ref, chip.part.number, fedAt));
  }
  const { hertz, duty } = can.part.oscillation;
  const clock: Hertz = { numerator: hertz.numerator, denominator: hertz.denominator * BigInt(divide) };
  if (stated && !isSame(stated.clock, clock)) {
    return context.complain(path, say.otherRate(written ?? "", can.ref, printHertz(clock)));
  }
  return { use: { clock, duty: stated?.duty ?? duty }, from };
}

/** The oscillator can that drives a net. */
export function canOn(net: GrowingNet, chips: readonly GrowingChip[]): GrowingChip | undefined {
  const [driver] = net.drivers;
  return chips.find(({ ref, part }) => part.oscillation && ref === driver?.chip.ref);
}

function readClock(text: string, path: Path, context: FileContext): Feed["use"] | undefined {
  const [, rate, least, most] = CLOCK.exec(text.trim()) ?? [];
  const reading = parseHertz(rate ?? text);
  if (isMisread(reading)) return context.complain(path, quantity(path, reading.wrong, say.CLOCK_EXPECTED));
  const hertz = Number(reading.value.numerator) / Number(reading.value.denominator);
  if (hertz < SLOWEST_HERTZ || hertz > FASTEST_HERTZ) return context.complain(path, say.badClock(text));
  if (least === undefined || most === undefined) return { clock: reading.value };
  const [from, to] = [Number(least) / 100, Number(most) / 100];
  if (from > to || from <= 0 || to >= 1) return context.complain(path, say.badClock(text));
  return { clock: reading.value, duty: range(from, to) };
}

function isSame(a: Hertz, b: Hertz): boolean {
  return a.numerator * b.denominator === b.numerator * a.denominator;
}
