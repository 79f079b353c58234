import { type Circuit, withFigures } from "../circuit/index.js";
import {
  type Change,
  type Delay,
  type Figures,
  TYPICAL_OVER_MAXIMUM,
  isMissing,
  narrowed,
  sourceLine,
} from "../parts/index.js";
import { type Fs, type Microvolts, fs, inNs, measure, microvolts, printMeasure, printOhms } from "../quantity/index.js";
import { capacitiveLoad, dcLoad } from "./net-load.js";
import { type NetDriver, type NetPins, boardPins } from "./net-pins.js";
import { highLevelAt, thresholdAt } from "./output-level.js";
import { pulledHigh } from "./pull-up.js";

/** What the load of a net adds to the greatest delay of an output that drives it. */
export interface LoadDelay {
  readonly rise: Fs;
  readonly fall: Fs;
  /** How it comes about: `85.0 pF, 35.0 pF beyond the sheet's, at 0.14 ns/pF (Texas Instruments SCLS071D)`. */
  readonly text: string;
  readonly fromMemory: boolean;
}

/**
 * The circuit with its delays under load: where a net asks an output to charge more than the sheet's test load, its greatest
 * delays grow by the family's slope; its least ones stay. What lifts a high level through a pull-up adds the end of that
 * rise. Everything that reads delays can take this circuit for the other.
 */
export function underLoad(circuit: Circuit): Circuit {
  const delays = loadDelays(circuit);
  return withFigures(circuit, ({ ref, part }) => {
    const own = delays.get(ref);
    return own ? loaded(part.figures, own) : part.figures;
  });
}

/** What load adds, by chip and output pin; outputs to which it adds nothing are absent. */
export function loadDelays(circuit: Circuit): ReadonlyMap<string, ReadonlyMap<string, LoadDelay>> {
  const found = new Map<string, Map<string, LoadDelay>>();
  for (const pins of boardPins(circuit).nets) {
    for (const driver of pins.drivers) {
      const delay = driver.chip && loadDelay(circuit, pins, driver);
      if (!driver.chip || !delay) continue;
      const own = found.get(driver.chip.ref) ?? new Map<string, LoadDelay>();
      found.set(driver.chip.ref, own.set(driver.pin, delay));
    }
  }
  return found;
}

function loadDelay({ build }: Circuit, pins: NetPins, driver: NetDriver): LoadDelay | undefined {
  const { slope, testLoad } = driver.figures;
  const { capacitance } = capacitiveLoad(pins, driver, build);
  const beyond = Math.max(0, capacitance - testLoad) / 1e3;
  const pull = pullUpTime(pins, driver, capacitance);
  // An oscillator's delay is nobody's business: all times count from its edges.
  if (driver.chip?.part.oscillation || ((!slope || beyond === 0) && !pull)) return undefined;
  const after = (perPicofarad = 0) => fs(Math.ceil(1e6 * beyond * perPicofarad));
  const [rise, fall] = [after(slope?.rise), after(slope?.fall)];
  const steepness =
    !slope || slope.rise === slope.fall ? `${slope?.rise}` : `${slope.rise} (rise), ${slope.fall} (fall)`;
  const load =
    slope && beyond > 0
      ? `load ${printMeasure(measure("capacitance", capacitance))}, ${beyond.toFixed(1)} pF beyond it at ${steepness} ns/pF (${sourceLine(slope.source)})`
      : "";
  return {
    rise: fs(rise + (pull?.time ?? 0)),
    fall,
    text: [load, pull?.text ?? ""].filter((words) => words !== "").join(", "),
    fromMemory: slope?.source.fromMemory === true && beyond > 0,
  };
}

/**
 * From the driver's own high level to what the receivers ask for, through the pull-up alone: R·C·ln((V - VOH)/(V - VIH)), at
 * the end of the supply's range where it takes longer.
 */
function pullUpTime(pins: NetPins, driver: NetDriver, farads: number): { time: Fs; text: string } | undefined {
  const { min, max } = driver.supply.volts;
  const times = [min, max].flatMap((volts) => pullUpTimeAt(pins, driver, farads, microvolts(volts)) ?? []);
  return times.reduce<(typeof times)[number] | undefined>((a, b) => (a && a.time >= b.time ? a : b), undefined);
}

function pullUpTimeAt(
  pins: NetPins,
  driver: NetDriver,
  farads: number,
  supply: Microvolts,
): { time: Fs; text: string } | undefined {
  const { current } = dcLoad(pins, driver, "high");
  const lifted = pulledHigh(pins, driver, supply, current);
  const own = highLevelAt(driver.figures, supply, current);
  const asked = pins.receivers
    .filter(({ label }) => label !== driver.label)
    .map(({ figures, supply: at }) =>
      thresholdAt(figures.high, at === driver.supply ? supply : microvolts(at.volts.max)),
    );
  const wanted = Math.max(0, ...asked);
  if (!lifted || own === undefined || wanted <= own || wanted >= lifted.level) return undefined;
  const { passive, tolerance } = lifted;
  const ohms = passive.amount * (1 + tolerance);
  const seconds = ohms * farads * 1e-15 * Math.log((lifted.level - own) / (lifted.level - wanted));
  const time = fs(Math.ceil(seconds * 1e15));
  const volts = (amount: number) => `${(amount / 1e6).toFixed(2)} V`;
  return {
    time,
    text: `${inNs(time).toFixed(1)} ns through ${passive.ref} (${printOhms(passive.amount)}) from ${volts(own)} to ${volts(wanted)}`,
  };
}

function loaded(figures: Figures, own: ReadonlyMap<string, LoadDelay>): Figures {
  const made = new Map<string, Delay>();
  return {
    ...figures,
    delay(from, edge, to, change) {
      const load = own.get(to);
      const key = [from, edge, to, change].join("|");
      const known = made.get(key);
      if (known) return known;
      const delay = figures.delay(from, edge, to, change);
      if (isMissing(delay) || !load || change.endsWith("-to-z")) return delay;
      const wider = widened(delay, change, load);
      made.set(key, wider);
      return wider;
    },
  };
}

function widened(delay: Delay, change: Change, load: LoadDelay): Delay {
  // What was measured on the board was measured under its load.
  if (delay.narrowing) return narrowed(widened(delay.narrowing.sheet, change, load), delay.narrowing.measured);
  const added = change === "rise" || change === "z-to-high" ? load.rise : load.fall;
  if (added === 0) return delay;
  const { source } = delay;
  const column = [source.column, `plus ${inNs(added).toFixed(2)} ns for ${load.text}`];
  return {
    ...delay,
    typical: fs(delay.typical + Math.round(TYPICAL_OVER_MAXIMUM * added)),
    max: fs(delay.max + added),
    source: {
      ...source,
      column: column.filter((words) => words !== undefined && words !== "").join(", "),
      fromMemory: source.fromMemory || load.fromMemory,
    },
  };
}
