import {
  type Chip,
  type Circuit,
  type Net,
  type OutsideLevels,
  type Passive,
  type PinRef,
  type Supply,
  drivingOf,
  outsideOutputOf,
} from "../circuit/index.js";
import {
  type InputFigures,
  type LevelFigures,
  type Missing,
  type OutputFigures,
  isMissing,
  levelsOf,
} from "../parts/index.js";
import { type Microvolts, femtofarads, microvolts, nanoamps } from "../quantity/index.js";

/** What can drive a net: an output of a chip, or a signal from outside. */
export interface NetDriver {
  /** Absent where the signal comes from outside. */
  readonly chip?: Chip;
  readonly pin: string;
  /** `U3 QA`, `outside`. */
  readonly label: string;
  /** `74LS163`, `TTL`. */
  readonly part: string;
  /** What stands in a verdict's name: `LS`, `SRAM`, `outside`. */
  readonly family: string;
  readonly supply: Supply;
  readonly figures: OutputFigures;
  /** It can let go of the net. */
  readonly letsGo: boolean;
  /** The file does not say what levels it comes at: CMOS levels of the main supply are taken. */
  readonly isAssumed: boolean;
}

/** An input pin that looks at a net. */
export interface NetReceiver {
  readonly chip: Chip;
  readonly pin: string;
  readonly label: string;
  readonly part: string;
  readonly family: string;
  readonly supply: Supply;
  readonly figures: InputFigures;
}

/** A resistor from a net to a rail. */
export interface PullResistor {
  readonly passive: Passive;
  readonly to: "high" | "low";
  /** Of the rail; 0 V for `low`. */
  readonly supply: Supply | undefined;
}

/** A net with everything electrical on it. */
export interface NetPins {
  readonly net: Net;
  readonly drivers: readonly NetDriver[];
  readonly receivers: readonly NetReceiver[];
  readonly pulls: readonly PullResistor[];
  /** Resistors that lead to another net than a rail: what flows there is not known here. */
  readonly otherResistors: readonly Passive[];
}

/** A pin whose levels no sheet on record gives. */
export interface PinWithoutLevels {
  readonly chip: Chip;
  readonly pin: string;
  readonly net: Net;
  readonly missing: string;
}

export interface BoardPins {
  readonly nets: readonly NetPins[];
  readonly withoutLevels: readonly PinWithoutLevels[];
}

/** Puts the DC figures of every pin on its net. Of the rails those inputs count that are on another supply. */
export function boardPins(circuit: Circuit): BoardPins {
  const { nets, passives } = circuit;
  const levels = new Map<string, LevelFigures | undefined>();
  const levelsOn = (chip: Chip): LevelFigures | undefined => {
    const key = `${chip.part.number} on ${chip.supply.name}`;
    if (!levels.has(key)) levels.set(key, levelsOfChip(chip, circuit));
    return levels.get(key);
  };
  const withoutLevels: PinWithoutLevels[] = [];
  const figuresOf = <F extends object>(
    { chip, pin }: PinRef,
    net: Net,
    of: (figures: LevelFigures) => F | Missing,
  ): F | undefined => {
    const found = levelsOn(chip);
    const figures = found ? of(found) : { missing: `${chip.part.number} levels` };
    if (!isMissing(figures)) return figures;
    withoutLevels.push({ chip, pin, net, missing: figures.missing });
    return undefined;
  };
  const receiversOn = (net: Net): readonly NetReceiver[] =>
    net.receivers.flatMap((ref): NetReceiver[] => {
      const figures = figuresOf(ref, net, (at) => at.input(ref.pin));
      return figures ? [{ ...ofChip(ref), figures }] : [];
    });
  const byName = new Map(nets.map((net) => [net.name, net]));
  const found = nets.flatMap((net): readonly NetPins[] => {
    if (net.rail) return railPins(circuit, net, receiversOn(net));
    const drivers = net.drivers.flatMap((ref): NetDriver[] => {
      const driving = drivingOf(ref);
      const figures = driving === "never" ? undefined : figuresOf(ref, net, (at) => at.output(ref.pin));
      return figures ? [{ ...ofChip(ref), figures, letsGo: driving === "sometimes", isAssumed: false }] : [];
    });
    const outside = outsideDriver(circuit, net);
    const resistors = passives.filter(({ kind, nets: ends }) => kind === "resistor" && ends.includes(net.name));
    const pulls = resistors.flatMap((passive): PullResistor[] => {
      const other = byName.get(passive.nets[0] === net.name ? passive.nets[1] : passive.nets[0]);
      if (!other?.rail) return [];
      const supply = other.rail === "high" ? (other.supply ?? circuit.supplies[0]) : undefined;
      return [{ passive, to: other.rail, supply }];
    });
    const otherResistors = resistors.filter((one) => pulls.every(({ passive }) => passive !== one));
    return [{ net, drivers: [...drivers, ...outside], receivers: receiversOn(net), pulls, otherResistors }];
  });
  return { nets: found, withoutLevels };
}

/** The DC figures of a chip on its supply. */
export function levelsOfChip({ part, supply }: Chip, { ambientCelsius }: Circuit): LevelFigures | undefined {
  return levelsOf(part, { supplyVolts: supply.volts, ambientCelsius });
}

function ofChip({ chip, pin }: PinRef) {
  const { number, family } = chip.part;
  return { chip, pin, label: `${chip.ref} ${pin}`, part: number, family, supply: chip.supply };
}

/** A supply's rail at inputs of chips on other supplies; on their own it is always right. */
function railPins(circuit: Circuit, net: Net, receivers: readonly NetReceiver[]): readonly NetPins[] {
  const supply = net.supply ?? circuit.supplies[0];
  const others = receivers.filter((receiver) => receiver.supply !== supply);
  if (net.rail !== "high" || !supply || others.length === 0) return [];
  const driver: NetDriver = {
    pin: "",
    label: `the supply ${supply.name}`,
    part: "rail",
    family: "rail",
    supply,
    figures: railFigures(supply),
    letsGo: false,
    isAssumed: false,
  };
  return [{ net, drivers: [driver], receivers: others, pulls: [], otherResistors: [] }];
}

/** Every level of a rail is its own, at any current that inputs can ask for. */
function railFigures({ volts }: Supply): OutputFigures {
  const source = { publisher: "circuit file", document: "supply", fromMemory: false };
  const [min, max] = [microvolts(volts.min), microvolts(volts.max)];
  const current = nanoamps(1000);
  const points = (levelOf: (supply: Microvolts) => Microvolts) =>
    [...new Set([min, max])].map((supply) => ({ supply, current, level: levelOf(supply) }));
  return {
    technology: "CMOS",
    kind: "rail",
    high: points((supply) => supply),
    low: points(() => microvolts(0)),
    followsSupply: true,
    offCurrentHigh: nanoamps(0),
    offCurrentLow: nanoamps(0),
    offCapacitance: femtofarads(0),
    typicalOffCapacitance: femtofarads(0),
    testLoad: femtofarads(0),
    highSource: source,
    lowSource: source,
    offSource: source,
  };
}

/** A signal from outside, unless it is a processor of the circuit, or a chip before it, that drives the net. */
function outsideDriver(circuit: Circuit, net: Net): readonly NetDriver[] {
  const { ambientCelsius, supplies } = circuit;
  const [main] = supplies;
  if (!net.input || !main || (net.input.by && net.drivers.length > 0)) return [];
  const levels: OutsideLevels = net.input.levels ?? { kind: "CMOS", supply: main };
  const figures = outsideOutputOf(levels, ambientCelsius);
  if (isMissing(figures)) return [];
  const isAssumed = net.input.levels === undefined;
  return [
    {
      pin: "",
      label: "outside",
      part: levels.kind,
      family: "outside",
      supply: levels.supply,
      figures,
      letsGo: false,
      isAssumed,
    },
  ];
}
