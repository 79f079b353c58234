import { isMissing } from "../parts/index.js";
import type { Edge } from "../parts/index.js";
import { HIGH, LOW, type LevelSet } from "../timing/level-set.js";
import type { ChipModel, Model, NetModel, OutputModel, PinModel } from "../timing/model.js";
import type { TracedWaves } from "./traced-waves.js";

/** An owner of a bus begins to drive it, or lets go of it, somewhere between two times in fs. */
export interface HandOver {
  readonly drives: boolean;
  readonly earliest: number;
  readonly latest: number;
  /** Earliest time of the enable's edge that is the cause. */
  readonly cause: number;
}

export interface Driver {
  readonly chip: ChipModel;
  readonly output: OutputModel;
}

/** Chips that drive a bus together, at the word of the same enables. */
export interface BusOwner {
  /** `U18, U19`. */
  readonly name: string;
  readonly refs: readonly string[];
  readonly drivers: readonly Driver[];
  /** The nets that say when it drives. */
  readonly enables: readonly NetModel[];
  readonly drivesAtStart: boolean;
  readonly handOvers: readonly HandOver[];
}

/** Who drives the nets of a bus, and from when to when. */
export function busOwners(model: Model, waves: TracedWaves, nets: readonly NetModel[]): BusOwner[] {
  const groups = new Map<string, Driver[]>();
  for (const { drivers } of nets) {
    for (const { chip, output } of drivers) {
      const enables = enablePins({ chip, output }).map(({ net }) => net.net.id);
      const key = [...new Set(enables)].sort((a, b) => a - b).join(" ");
      groups.set(key, [...(groups.get(key) ?? []), { chip, output }]);
    }
  }
  return [...groups.values()].map((drivers) => {
    const refs = [...new Set(drivers.map(({ chip }) => chip.chip.ref))];
    const each = drivers.map((driver) => drivingOf(model, waves, driver));
    return {
      name: refs.length > 3 ? `${refs[0]} to ${refs.at(-1)}` : refs.join(", "),
      refs,
      drivers,
      enables: [...new Set(drivers.flatMap((driver) => enablePins(driver).map(({ net }) => net)))],
      drivesAtStart: each[0]?.drivesAtStart ?? true,
      handOvers: together(each.map(({ handOvers }) => handOvers)),
    };
  });
}

/** Whether an owner drives once everything that is over by `time` has happened. */
export function drivesAt({ drivesAtStart, handOvers }: BusOwner, time: number): boolean {
  return handOvers.filter(({ latest }) => latest <= time).at(-1)?.drives ?? drivesAtStart;
}

function enablePins({ chip, output: { enable } }: Driver): readonly PinModel[] {
  return enable ? chip.pins.filter(({ slot }) => enable.slots.includes(slot)) : [];
}

function drivingOf(model: Model, waves: TracedWaves, driver: Driver): Pick<BusOwner, "drivesAtStart" | "handOvers"> {
  const { chip, output } = driver;
  const pins = enablePins(driver);
  const levels = new Map<number, LevelSet>(pins.map(({ slot, net }) => [slot, waves.ofNet(net).start]));
  const mayDrive = () => output.enable?.possible((slot) => levels.get(slot) ?? chip.fixed[slot] ?? LOW) !== LOW;
  const drivesAtStart = mayDrive();
  const changes = pins
    .flatMap((pin) => waves.ofNet(pin.net).changes.map((change) => ({ pin, ...change })))
    .sort((a, b) => a.earliest - b.earliest);
  const handOvers: HandOver[] = [];
  for (const { pin, to, earliest, latest, tracedEarliest } of changes) {
    const before = mayDrive();
    levels.set(pin.slot, to);
    const drives = mayDrive();
    if (before === drives) continue;
    const delay = enableDelay(model, driver, pin, to === HIGH ? "rise" : "fall", drives);
    handOvers.push({ drives, earliest: earliest + delay.min, latest: latest + delay.max, cause: tracedEarliest });
  }
  return { drivesAtStart, handOvers };
}

/** From the edge at the driver of the enable's net to the output, wire included; zero where no sheet speaks. */
function enableDelay(model: Model, { chip, output }: Driver, pin: PinModel, edge: Edge, drives: boolean) {
  const changes = drives ? (["z-to-high", "z-to-low"] as const) : (["high-to-z", "low-to-z"] as const);
  const delays = changes.flatMap((change) => {
    const delay = chip.chip.part.figures.delay(pin.name, edge, output.pin, change);
    return isMissing(delay) ? [] : [delay];
  });
  const wire = model.circuit.wireDelay;
  return {
    min: wire.min + (delays.length > 0 ? Math.min(...delays.map(({ min }) => min)) : 0),
    max: wire.max + (delays.length > 0 ? Math.max(...delays.map(({ max }) => max)) : 0),
  };
}

/** The hand-overs of drivers that obey the same enables: earliest of all to latest of all. */
function together(lists: readonly (readonly HandOver[])[]): HandOver[] {
  const [first = []] = lists;
  return first.map((handOver, index) => {
    const all = lists.flatMap((list) => list[index] ?? []);
    return {
      ...handOver,
      earliest: Math.min(...all.map(({ earliest }) => earliest)),
      latest: Math.max(...all.map(({ latest }) => latest)),
    };
  });
}
