import type { Supply } from "../circuit/index.js";
import type { Source } from "../parts/index.js";
import { type Microvolts, type Nanoamps, measure, microvolts, printMeasure } from "../quantity/index.js";
import type { Weakness } from "../verdict/index.js";
import { levelRemedies } from "./level-remedies.js";
import { makeVerdict } from "./make-verdict.js";
import { type DcLoad, dcLoad, sourced } from "./net-load.js";
import type { BoardPins, NetDriver, NetPins, NetReceiver } from "./net-pins.js";
import { outputWords } from "./output-words.js";
import { highLevelAt, lowLevelAt, thresholdAt } from "./output-level.js";
import { liftingSupply, pulledHigh } from "./pull-up.js";
import type { ElectricalVerdict, ReckoningLine } from "./verdict.js";

/** One driver against one receiver, at the supply at which the margin is least. */
interface Pair {
  readonly driver: NetDriver;
  readonly receiver: NetReceiver;
  readonly load: DcLoad;
  readonly driverSupply: Microvolts;
  readonly receiverSupply: Microvolts;
  /** Absent where the load asks for more current than a level is guaranteed at. */
  readonly given?: Microvolts;
  readonly wanted: Microvolts;
  readonly margin?: number;
  /** The resistor that lifts the level above the driver's own. */
  readonly liftedBy?: string;
}

/**
 * High and low levels: every driver of every net against every receiver, a verdict for each net and each pair of families,
 * which is that of the worst pair.
 */
export function levelVerdicts({ nets }: BoardPins): readonly ElectricalVerdict[] {
  return nets.flatMap((pins) =>
    (pins.net.rail ? (["high"] as const) : (["high", "low"] as const)).flatMap((level) => {
      const groups = new Map<string, Pair[]>();
      for (const driver of pins.drivers) {
        const load = dcLoad(pins, driver, level);
        for (const receiver of pins.receivers) {
          if (receiver.label === driver.label) continue;
          const key = `${driver.family} to ${receiver.family}`;
          groups.set(key, [...(groups.get(key) ?? []), worstAt(level, pins, driver, receiver, load)]);
        }
      }
      return [...groups].map(([families, pairs]) => verdictOf(level, pins, families, pairs));
    }),
  );
}

function worstAt(level: "high" | "low", pins: NetPins, driver: NetDriver, receiver: NetReceiver, load: DcLoad): Pair {
  const candidates = supplyPairs(pins, driver, receiver, load).map(([driverSupply, receiverSupply]): Pair => {
    const common = { driver, receiver, load, driverSupply, receiverSupply };
    if (level === "low") {
      const given = lowLevelAt(driver.figures, driverSupply, load.current);
      const wanted = thresholdAt(receiver.figures.low, receiverSupply);
      return given === undefined ? { ...common, wanted } : { ...common, given, wanted, margin: wanted - given };
    }
    const own = highLevelAt(driver.figures, driverSupply, load.current);
    const lifted = pulledHigh(pins, driver, driverSupply, load.current);
    const wanted = thresholdAt(receiver.figures.high, receiverSupply);
    const given = lifted && lifted.level > (own ?? 0) ? lifted.level : own;
    if (given === undefined) return { ...common, wanted };
    const by = lifted && given === lifted.level ? { liftedBy: lifted.passive.ref } : {};
    return { ...common, given, wanted, margin: given - wanted, ...by };
  });
  const [first, ...rest] = candidates;
  if (!first) throw new RangeError(`no supply of ${driver.label}`);
  return rest.reduce((a, b) => ((b.margin ?? -Infinity) < (a.margin ?? -Infinity) ? b : a), first);
}

/**
 * The supplies of driver and receiver to look at: together at every printed one where they are on the same supply, and where
 * a pull-up begins to lift the net; else the driver's lowest against the receiver's highest, and the reverse.
 */
function supplyPairs(
  pins: NetPins,
  driver: NetDriver,
  receiver: NetReceiver,
  { current }: DcLoad,
): readonly (readonly [Microvolts, Microvolts])[] {
  const [from, to] = [ends(driver.supply), ends(receiver.supply)];
  if (driver.supply !== receiver.supply)
    return [from.min, from.max].flatMap((a) => [[a, to.min] as const, [a, to.max] as const]);
  const { high, low } = receiver.figures;
  const printed = [...driver.figures.high, ...driver.figures.low, ...high, ...low].map(({ supply }) => supply);
  const inside = printed.filter((supply) => from.min < supply && supply < from.max);
  const lifting = liftingSupply(pins, driver, current, from) ?? from.min;
  return [...new Set([from.min, from.max, lifting, ...inside])].map((supply) => [supply, supply] as const);
}

function ends({ volts: { min, max } }: Supply) {
  return { min: microvolts(min), max: microvolts(max) };
}

function verdictOf(level: "high" | "low", pins: NetPins, families: string, pairs: readonly Pair[]): ElectricalVerdict {
  const [first, ...rest] = pairs;
  if (!first) throw new RangeError(`no pair on ${pins.net.name}`);
  const worst = rest.reduce((a, b) => ((b.margin ?? -Infinity) < (a.margin ?? -Infinity) ? b : a), first);
  const { driver, receiver, load, given, wanted, margin } = worst;
  const symbol = level === "high" ? "VIH" : "VIL";
  const holds = margin !== undefined && margin >= 0;
  const volts = (amount: Microvolts) => printMeasure(measure("voltage", amount));
  return makeVerdict({
    rule: level === "high" ? "high level" : "low level",
    nameParts: { head: `${level} level`, item: pins.net.name, tail: families },
    quantity: "voltage",
    symbol,
    chip: receiver.chip.ref,
    part: receiver.part,
    pin: receiver.pin,
    net: pins.net.name,
    reference: driver.label,
    state: holds ? "holds" : "fails",
    required: wanted,
    ...(given !== undefined && { available: given }),
    ...(margin !== undefined && { margin }),
    count: pairs.length,
    demand:
      `${pins.net.name} must be ${level === "high" ? `at least ${volts(wanted)} when high` : `at most ${volts(wanted)} when low`} ` +
      `at ${receiver.label} (${receiver.part}, ${symbol}); ${outputWords(driver)} drives it.`,
    note: noteOf(worst),
    remedies: holds ? [] : levelRemedies(level, pins, driver, receiver, wanted),
    restsOn: restsOn(worst, level),
    reckoning: reckoning(level, worst, load),
  });
}

function noteOf({ driver, given, margin, load, liftedBy }: Pair): string {
  const words = [];
  if (given === undefined) {
    words.push(
      `The net asks for ${printMeasure(measure("current", load.current))}, more than ${driver.label} (${driver.part}) guarantees a level at.`,
    );
  }
  if (liftedBy !== undefined && margin !== undefined) {
    words.push(`${liftedBy} lifts the net above what ${driver.label} gives by itself, with a slow end of the rise.`);
  }
  if (driver.isAssumed) {
    words.push(
      "The file does not say what drives it: CMOS levels of the main supply are taken. Where that is not so, add for example 'levels: TTL' to the input.",
    );
  }
  return words.join(" ");
}

function restsOn({ driver, receiver, load }: Pair, level: "high" | "low"): readonly Weakness[] {
  const { figures } = driver;
  const sources: readonly Source[] = [
    level === "high" ? figures.highSource : figures.lowSource,
    receiver.figures.levelSource,
  ];
  // What a leakage of microamperes was read from decides nothing where the level stays the same.
  const isLoaded = load.current > LEAKAGE;
  const recalled = [
    ...(driver.isAssumed ? [] : sources.slice(0, 1)),
    ...sources.slice(1),
    ...(isLoaded ? load.rests : []),
  ];
  return [
    ...(driver.isAssumed ? (["assumed levels"] as const) : []),
    ...(recalled.some(({ fromMemory }) => fromMemory) ? (["from memory"] as const) : []),
  ];
}

/** Up to here a load is leakage, in nanoamperes. */
const LEAKAGE = 100_000 as Nanoamps;

function reckoning(level: "high" | "low", pair: Pair, load: DcLoad): readonly ReckoningLine[] {
  const { driver, receiver, driverSupply, receiverSupply, given, wanted, margin, liftedBy } = pair;
  const volts = (amount: Microvolts) => `${Number((amount / 1e6).toFixed(3))} V`;
  const [out, into] = level === "high" ? ["VOH", "VIH"] : ["VOL", "VIL"];
  const outSource = level === "high" ? driver.figures.highSource : driver.figures.lowSource;
  const threshold: ReckoningLine = {
    text: `${into} of ${receiver.label} (${receiver.part}) at ${volts(receiverSupply)}`,
    figure: measure("voltage", wanted),
    ...sourced(receiver.figures.levelSource),
  };
  const total: ReckoningLine = { text: "load in all", figure: measure("current", load.current) };
  const output: ReckoningLine =
    given === undefined
      ? { text: `${driver.label} (${driver.part}) guarantees no ${out} at that current`, ...sourced(outSource) }
      : {
          text: `${liftedBy === undefined ? out : `level by ${liftedBy}`} of ${driver.label} (${driver.part}) at ${volts(driverSupply)}`,
          figure: measure("voltage", given),
          ...sourced(outSource),
        };
  const difference: ReckoningLine[] =
    margin === undefined || given === undefined
      ? []
      : [
          {
            text: "noise margin",
            figure: measure("voltage", margin),
            working: level === "high" ? `${volts(given)} - ${volts(wanted)}` : `${volts(wanted)} - ${volts(given)}`,
          },
        ];
  return [...load.lines, ...(load.lines.length > 1 ? [total] : []), output, threshold, ...difference];
}
