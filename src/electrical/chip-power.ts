import type { Chip, Circuit, Net } from "../circuit/index.js";
import { type Amperes, type Draw, amperesOf } from "./current-draw.js";
import { capacitiveLoad } from "./net-load.js";
import { type BoardPins, type NetDriver, boardPins } from "./net-pins.js";
import { mostAmperesFrom } from "./output-amperes.js";
import {
  type Dissipating,
  type SheetFigure,
  dissipationCapacitance,
  ownSupplyCurrent,
  ttlInputCurrent,
} from "./supply-currents.js";
import { hertzOf, switchingUnits } from "./switching-units.js";
import { videoOutputs } from "./video-networks.js";

/** What one chip draws at most, and what it turns into heat. Volts, amperes, watts. */
export interface ChipPower {
  readonly chip: Chip;
  readonly draw: Draw;
  readonly amperes: Amperes;
  /** What goes into resistors warms them, but for what the outputs drop. */
  readonly watts: number;
  readonly own: SheetFigure;
  readonly ttl?: SheetFigure;
  readonly capacitance?: Dissipating;
}

export interface BoardPower {
  readonly chips: readonly ChipPower[];
  /** Chips of which no sheet on record says what they draw. */
  readonly unknown: readonly Chip[];
  /** Amperes of everything that is known, each net's load counted once, resistors to the supply included. */
  readonly total: number;
}

/** What a board draws at its highest supply, from how often each net changes. */
export function boardPower(circuit: Circuit, edgesPerSecond: ReadonlyMap<number, number>): BoardPower {
  const pins = boardPins(circuit);
  const edges = (net: Net) => edgesPerSecond.get(net.id) ?? 0;
  const farads = loadsOf(circuit, pins);
  const resistive = resistiveOutputs(circuit);
  const hottest = circuit.ambientCelsius.max;
  const unknown: Chip[] = [];
  const chips = circuit.chips.flatMap((chip): ChipPower[] => {
    const own = ownSupplyCurrent(chip.part, hottest);
    if (!own) {
      unknown.push(chip);
      return [];
    }
    const capacitance = dissipationCapacitance(chip.part);
    const ttl = ttlInputCurrent(chip.part, hottest);
    const driven = circuit.nets.filter(({ drivers }) => drivers.some((driver) => driver.chip === chip));
    const intoResistors = driven.map((net) => resistive.get(net.id)).filter((one) => one !== undefined);
    const draw: Draw = {
      volts: chip.supply.volts.max,
      quiescent: own.value,
      ...(ttl && { ttlInputs: { count: ttlInputs(pins, chip), each: ttl.value, share: 1 } }),
      inside: insideOf(chip, capacitance, edges),
      loads: driven.map((net) => ({ farads: farads.get(net.id) ?? 0, hertz: edges(net) / 2 })),
      resistors: intoResistors.reduce((sum, { amperes }) => sum + amperes, 0),
    };
    const amperes = amperesOf(draw);
    const dropped = intoResistors.reduce((sum, { watts }) => sum + watts, 0);
    return [
      {
        chip,
        draw,
        amperes,
        watts: (amperes.total - amperes.resistors) * draw.volts + dropped,
        own,
        ...(ttl && { ttl }),
        ...(capacitance && { capacitance }),
      },
    ];
  });
  const loads = circuit.nets.reduce(
    (sum, net) => sum + (farads.get(net.id) ?? 0) * (edges(net) / 2) * (net.drivers[0]?.chip.supply.volts.max ?? 0),
    0,
  );
  const others = chips.reduce((sum, { amperes }) => sum + amperes.total - amperes.loads, 0);
  return { chips, unknown, total: others + loads + pullAmperes(circuit) };
}

/** The largest load of each net, in farads. */
function loadsOf({ build }: Circuit, { nets }: BoardPins): ReadonlyMap<number, number> {
  return new Map(
    nets.map((pins) => [
      pins.net.id as number,
      Math.max(0, ...pins.drivers.map((driver) => capacitiveLoad(pins, driver, build).capacitance)) * 1e-15,
    ]),
  );
}

function insideOf(chip: Chip, capacitance: Dissipating | undefined, edges: (net: Net) => number): Draw["inside"] {
  if (!capacitance) return [];
  const hertz = switchingUnits(chip.part.behaviour).map((unit) => hertzOf(unit, chip, edges));
  const counted = capacitance.ofChip ? [Math.max(0, ...hertz)] : hertz;
  return counted.map((rate) => ({ farads: capacitance.value, hertz: rate }));
}

/** Volts below its supply from which an unloaded high level draws current through CMOS inputs: the sheets test at VCC - 2.1 V. */
const TTL_DROP = 1;

/** Inputs of a chip on nets whose high level is TTL's. */
function ttlInputs({ nets }: BoardPins, chip: Chip): number {
  const isTtl = ({ figures: { high } }: NetDriver) => {
    const least = Math.min(...high.map(({ current }) => current));
    return high.some(({ current, supply, level }) => current === least && supply - level > TTL_DROP * 1e6);
  };
  return nets
    .filter(({ drivers }) => drivers.some(isTtl))
    .reduce((sum, { receivers }) => sum + receivers.filter((receiver) => receiver.chip === chip).length, 0);
}

/** What outputs give into the monitor's resistors while they are high, and what they drop of it, by the net's id. */
function resistiveOutputs(circuit: Circuit): ReadonlyMap<number, { readonly amperes: number; readonly watts: number }> {
  const found = new Map<number, { amperes: number; watts: number }>();
  for (const { network } of videoOutputs(circuit)) {
    for (const [name, { high }] of network.drives) {
      const net = circuit.nets.find((one) => one.name === name);
      if (!net || found.has(net.id)) continue;
      const amperes = mostAmperesFrom(network, name);
      found.set(net.id, { amperes, watts: amperes * (high.weak.volts + amperes * high.weak.ohms) });
    }
  }
  return found;
}

/** What resistors from the supply to nets draw while all those nets are low. */
function pullAmperes({ nets, passives, supplies }: Circuit): number {
  const rails = new Map(nets.flatMap((net) => (net.rail ? [[net.name, net] as const] : [])));
  return passives.reduce((sum, { kind, amount, nets: [a, b] }) => {
    const [one, other] = [rails.get(a), rails.get(b)];
    const rail = one ?? other;
    if (kind !== "resistor" || (one && other) || rail?.rail !== "high") return sum;
    return sum + ((rail.supply ?? supplies[0])?.volts.max ?? 0) / amount;
  }, 0);
}
