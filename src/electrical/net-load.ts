import { type BuildStyle, wireCapacitanceOf } from "../circuit/index.js";
import { type Source, sourceLine } from "../parts/index.js";
import { type Femtofarads, type Nanoamps, measure, nanoamps, printMeasure, printOhms } from "../quantity/index.js";
import type { NetDriver, NetPins, NetReceiver, PullResistor } from "./net-pins.js";
import type { ReckoningLine } from "./verdict.js";

/** What a resistor may be off where the file does not say: common practice. */
export const USUAL_TOLERANCE = 0.05;

/** What the pins of a net ask of the one that drives it, with how it adds up. */
export interface DcLoad {
  readonly current: Nanoamps;
  readonly lines: readonly ReckoningLine[];
  readonly rests: readonly Source[];
}

/** A pin that loads the net of a driver: a receiver, or another driver that is switched off. One that is both counts once. */
interface LoadingPin {
  readonly label: string;
  readonly part: string;
  readonly receiver?: NetReceiver;
  readonly off?: NetDriver;
}

/** The pins that load a net while one driver drives it. */
function loadingPins({ drivers, receivers }: NetPins, driver: NetDriver): readonly LoadingPin[] {
  const pins = new Map<string, LoadingPin>();
  const note = (label: string, more: LoadingPin) => pins.set(label, { ...pins.get(label), ...more });
  for (const receiver of receivers) {
    if (receiver.label !== driver.label) note(receiver.label, { label: receiver.label, part: receiver.part, receiver });
  }
  for (const off of drivers) {
    if (off.label !== driver.label) note(off.label, { label: off.label, part: off.part, off });
  }
  return [...pins.values()];
}

/** The current that a driver has to give (high) or take (low) at most. */
export function dcLoad(pins: NetPins, driver: NetDriver, level: "high" | "low"): DcLoad {
  const each = loadingPins(pins, driver).map(({ part, receiver, off }) => {
    const into = receiver && (level === "high" ? receiver.figures.currentHigh : receiver.figures.currentLow);
    const leak = off && (level === "high" ? off.figures.offCurrentHigh : off.figures.offCurrentLow);
    const isLeak = (leak ?? 0) > (into ?? -1);
    const source = isLeak ? off?.figures.offSource : receiver?.figures.currentSource;
    return { part, current: Math.max(into ?? 0, leak ?? 0), what: isLeak ? "output, off" : "input", source };
  });
  const groups = groupedBy(each, ({ part, current, what, source }) =>
    [part, current, what, source && sourceLine(source)].join("|"),
  );
  const lines: ReckoningLine[] = groups.map(([one, ...others]) => {
    const count = 1 + others.length;
    return {
      text: `${one.part} ${one.what}${count > 1 ? "s" : ""}`,
      figure: measure("current", count * one.current),
      ...(count > 1 && { working: `${count} × ${printMeasure(measure("current", one.current))}` }),
      ...sourced(one.source),
    };
  });
  const pulls = pins.pulls.filter(({ to }) => to !== level).map((pull) => pullLoad(pull, driver));
  return {
    current: (each.reduce((sum, { current }) => sum + current, 0) +
      pulls.reduce((sum, { current }) => sum + current, 0)) as Nanoamps,
    lines: [
      ...lines,
      ...pulls.map(({ line }) => line),
      ...pins.otherResistors.map(({ ref, nets }) => ({
        text: `${ref} leads from ${nets[0]} to ${nets[1]}: what flows there is not counted`,
      })),
    ],
    rests: each.flatMap(({ source }) => source ?? []),
  };
}

/** What a resistor to the other rail draws at most. */
function pullLoad({ passive, to, supply }: PullResistor, driver: NetDriver) {
  const { amount, tolerance = USUAL_TOLERANCE, ref } = passive;
  const volts = to === "high" ? (supply?.volts.max ?? 0) : driver.supply.volts.max;
  const least = amount * (1 - tolerance);
  const current = nanoamps((1000 * volts) / least);
  const line: ReckoningLine = {
    text: `${ref} to ${to}`,
    figure: measure("current", current),
    working: `${Number(volts.toFixed(3))} V ÷ (${printOhms(amount)} - ${Number((tolerance * 100).toFixed(2))} %)`,
    mark: passive.tolerance === undefined ? "common practice" : "circuit file",
  };
  return { current, line };
}

/** The capacitance that a driver has to charge at most, beside its own. */
export interface CapacitiveLoad {
  readonly capacitance: Femtofarads;
  readonly lines: readonly ReckoningLine[];
  readonly rests: readonly Source[];
}

export function capacitiveLoad(pins: NetPins, driver: NetDriver, build: BuildStyle): CapacitiveLoad {
  const loading = loadingPins(pins, driver);
  const each = loading.map(({ part, receiver, off }) => {
    const [into, leak] = [receiver?.figures.capacitance ?? 0, off?.figures.offCapacitance ?? 0];
    const isOff = off !== undefined && leak > into;
    const source = isOff ? off.figures.offSource : receiver?.figures.capacitanceSource;
    const typical = !isOff && receiver?.figures.isTypicalCapacitance ? ", typical" : "";
    return { part, farads: Math.max(into, leak), what: isOff ? "output, off" : "input", typical, source };
  });
  const groups = groupedBy(each, ({ part, farads, what, source }) =>
    [part, farads, what, source && sourceLine(source)].join("|"),
  );
  const chips = new Set([driver, ...loading].map(({ label }) => label.split(" ")[0])).size;
  const wire = wireCapacitanceOf(build, chips, loading.length + 1);
  const capacitance = each.reduce((sum, { farads }) => sum + farads, Number(wire.capacitance)) as Femtofarads;
  return {
    capacitance,
    lines: [
      ...groups.map(([one, ...others]): ReckoningLine => {
        const count = 1 + others.length;
        return {
          text: `${one.part} ${one.what}${count > 1 ? "s" : ""}${one.typical}`,
          figure: measure("capacitance", count * one.farads),
          ...(count > 1 && { working: `${count} × ${printMeasure(measure("capacitance", one.farads))}` }),
          ...sourced(one.source),
        };
      }),
      {
        text: `wires, ${build}`,
        figure: measure("capacitance", wire.capacitance),
        working: wire.working,
        source: wire.source,
        mark: "common practice",
      },
    ],
    rests: each.flatMap(({ source }) => source ?? []),
  };
}

/** How a source stands in a line of a reckoning. */
export function sourced(source: Source | undefined): Pick<ReckoningLine, "source" | "mark"> {
  if (!source) return {};
  const line = sourceLine(source);
  return { source: line, ...(source.fromMemory && { mark: "from memory" as const }) };
}

type NotEmpty<T> = readonly [T, ...T[]];

/** Items that have the same key, in the order of their first. */
function groupedBy<T>(items: readonly T[], keyOf: (item: T) => string): readonly NotEmpty<T>[] {
  const groups = new Map<string, [T, ...T[]]>();
  for (const item of items) {
    const group = groups.get(keyOf(item));
    if (group) group.push(item);
    else groups.set(keyOf(item), [item]);
  }
  return [...groups.values()];
}
