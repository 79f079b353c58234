import { type Fs, fs } from "../quantity/index.js";
import type { Circuit } from "../circuit/index.js";
import { type Change, type Edge, isMissing } from "../parts/index.js";
import type { DelayVariable } from "./delay-variable.js";
import type { CellId, CellModel, ChipModel, NetModel, OutputModel, PinModel } from "./model.js";
import type { TimeLine } from "./time-line.js";

const CHANGES: readonly Change[] = ["rise", "fall", "z-to-high", "z-to-low", "high-to-z", "low-to-z"];

/** The delay variables of a circuit, made as they are asked for. */
export class Delays {
  readonly #circuit: Circuit;
  readonly #time: TimeLine;
  readonly #cells: readonly CellModel[];
  readonly #isData: (net: NetModel) => boolean;
  /** Where figures that no sheet on record gives are noted. */
  readonly #missing: Set<string>;
  readonly #arcs = new Map<CellId, (DelayVariable | undefined)[]>();
  readonly #arcSets = new Map<CellId, (readonly DelayVariable[] | undefined)[]>();
  readonly #wires = new Map<string, DelayVariable>();
  readonly #wiresAt = new Map<PinModel, (DelayVariable | undefined)[]>();
  readonly #outside = new Map<string, DelayVariable>();
  /** By variable. */
  readonly #drivers: (CellId | undefined)[] = [];

  constructor(
    circuit: Circuit,
    time: TimeLine,
    cells: readonly CellModel[],
    isData: (net: NetModel) => boolean,
    missing: Set<string>,
  ) {
    this.#circuit = circuit;
    this.#time = time;
    this.#cells = cells;
    this.#isData = isData;
    this.#missing = missing;
  }

  /** The driver whose arc a variable is; undefined for other variables. */
  driverOf(variable: DelayVariable): CellId | undefined {
    return this.#drivers[variable.id];
  }

  /** The arcs from these edges of a pin to these changes of an output; those of data that are all alike as one. */
  arcs(from: PinModel, edges: readonly Edge[], to: OutputModel, changes: readonly Change[]): readonly DelayVariable[] {
    const own = this.#arcSets.get(to.cell) ?? [];
    const edgeMask = edges.reduce((sum, edge) => sum | (edge === "rise" ? 1 : 2), 0);
    const changeMask = changes.reduce((sum, change) => sum | (1 << CHANGES.indexOf(change)), 0);
    const index = (from.slot * 4 + edgeMask) * 2 ** CHANGES.length + changeMask;
    const known = own[index];
    if (known) return known;
    this.#arcSets.set(to.cell, own);
    const all = changes.flatMap((change) => edges.map((edge) => this.#arc(from, edge, to, change)));
    const made = this.#isData(to.net) ? this.#alikeAsOne(all) : all;
    for (const { id } of made) this.#drivers[id] = to.cell;
    own[index] = made;
    return made;
  }

  #arc(from: PinModel, edge: Edge, to: OutputModel, change: Change): DelayVariable {
    const own = this.#arcs.get(to.cell) ?? [];
    const index = (from.slot * 2 + (edge === "rise" ? 1 : 0)) * CHANGES.length + CHANGES.indexOf(change);
    const known = own[index];
    if (known) return known;
    this.#arcs.set(to.cell, own);
    const { ref, part } = chipOf(this.#cells[to.cell]).chip;
    const figure = part.figures.delay(from.name, edge, to.pin, change);
    if (isMissing(figure)) this.#missing.add(`${ref}: ${figure.missing}`);
    const limits = isMissing(figure)
      ? { min: fs(0), typical: fs(0), max: fs(0), minimumIs: "stated" as const }
      : figure;
    const variable = this.#time.variable({
      kind: "arc",
      isPrivate: this.#isData(to.net),
      value: "throughout",
      min: limits.min,
      typical: limits.typical,
      max: limits.max,
      label: `${ref} ${from.name} to ${to.pin}`,
      chip: ref,
      part: part.number,
      from: from.name,
      to: to.pin,
      edge,
      change,
      assumedMinimum: limits.minimumIs === "assumed",
      ...("source" in limits ? { source: limits.source } : {}),
    });
    own[index] = variable;
    return variable;
  }

  /** Arcs that have the same limits and bring no hand-over, as one each: which of them acts decides no bound. */
  #alikeAsOne(arcs: readonly DelayVariable[]): readonly DelayVariable[] {
    const groups = new Map<string, DelayVariable[]>();
    for (const arc of arcs) {
      const limits = `${arc.min} ${arc.typical} ${arc.max} ${arc.assumedMinimum}`;
      const key = arc.change?.includes("z") ? `${arc.id}` : limits;
      groups.set(key, [...(groups.get(key) ?? []), arc]);
    }
    return [...groups.values()].flatMap(([first, ...others]) => {
      if (!first) return [];
      return [others.length > 0 ? this.#time.variable({ ...first, value: "none" }) : first];
    });
  }

  wire(driver: CellId, chip: ChipModel, pin: PinModel): DelayVariable {
    const own = this.#wiresAt.get(pin) ?? [];
    const here = own[driver];
    if (here) return here;
    this.#wiresAt.set(pin, own);
    // The sections of a chip share its pins and what is wired to them.
    const key = `${driver}|${chip.chip.ref}|${pin.name}`;
    const variable = this.#wires.get(key) ?? this.#newWire(driver, chip, pin);
    this.#wires.set(key, variable);
    own[driver] = variable;
    return variable;
  }

  #newWire(driver: CellId, { chip }: ChipModel, pin: PinModel): DelayVariable {
    const cell = this.#cells[driver];
    const from = cell?.kind === "driver" ? `${cell.chip.chip.ref} ${cell.output.pin}` : pin.net.net.name;
    const { min, max } = this.#circuit.wireDelay;
    return this.#time.variable({
      kind: "wire",
      isPrivate: this.#isData(pin.net),
      value: "throughout",
      min,
      typical: fs(Math.round((min + max) / 2)),
      max,
      label: `wire ${pin.net.net.name} to ${chip.ref} ${pin.name}`,
      chip: chip.ref,
      part: "wire",
      from,
      to: `${chip.ref} ${pin.name}`,
      assumedMinimum: false,
    });
  }

  /** A delay that the file states for a signal from outside; `net` is the one whose times it is of. */
  outside(label: string, net: string, min: Fs, max: Fs): DelayVariable {
    const key = `${label}|${min}|${max}`;
    const known = this.#outside.get(key);
    if (known) return known;
    const variable = this.#time.variable({
      kind: "outside",
      isPrivate: false,
      value: "each time",
      min,
      typical: fs(Math.round((min + max) / 2)),
      max,
      label,
      chip: "",
      part: "",
      from: net,
      to: "",
      assumedMinimum: false,
    });
    this.#outside.set(key, variable);
    return variable;
  }
}

function chipOf(cell: CellModel | undefined): ChipModel {
  if (cell?.kind !== "driver") throw new RangeError("no output drives this cell");
  return cell.chip;
}
