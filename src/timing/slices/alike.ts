import { type Change, type Edge, type MemorySymbol, isMissing } from "../../parts/index.js";
import type { Logic } from "../compiled-logic.js";
import { HIGH, LOW } from "../level-set.js";
import type { ChipModel, Model, NetModel, OutputModel, OutsideModel, PinModel } from "../model.js";
import { type Slice, isDataBit } from "./slice.js";

const EDGES: readonly Edge[] = ["rise", "fall"];
const CHANGES: readonly Change[] = ["rise", "fall", "z-to-high", "z-to-low", "high-to-z", "low-to-z"];
/** What is asked of a data pin of a memory. */
const DATA_SYMBOLS: readonly MemorySymbol[] = ["tDW", "tDH"];
/** Logic of more signals than this is taken as different. */
const MOST_COMPARED = 10;

/** Compares bits of a bus: whether all that the proof can say of one is true of another, by other names. */
export class Likeness {
  readonly #model: Model;
  /** Number of the component that steps a section. */
  readonly #componentOf: (chip: ChipModel) => number;
  #one: Slice = NOTHING;
  #other: Slice = NOTHING;

  constructor(model: Model, componentOf: (chip: ChipModel) => number) {
    this.#model = model;
    this.#componentOf = componentOf;
  }

  areAlike(one: Slice, other: Slice): boolean {
    this.#one = one;
    this.#other = other;
    return (
      pairwise(one.nets, other.nets, (a, b) => a.drivers.length === b.drivers.length && sameRoles(a, b)) &&
      pairwise(one.outside, other.outside, sameOutside) &&
      pairwise(one.pins, other.pins, (a, b) => this.#samePins(a.chip, a.pin, b.chip, b.pin)) &&
      pairwise(one.outputs, other.outputs, (a, b) => this.#sameOutputs(a.chip, a.output, b.chip, b.output))
    );
  }

  #samePins(oneChip: ChipModel, one: PinModel, otherChip: ChipModel, other: PinModel): boolean {
    if (one.acts !== other.acts || one.isCaptured !== other.isCaptured || one.uses.join() !== other.uses.join()) {
      return false;
    }
    if (oneChip === otherChip) return !one.acts && this.#sameCaptures(oneChip, one, other);
    return one.slot === other.slot && this.#sameSections(oneChip, otherChip);
  }

  #sameOutputs(oneChip: ChipModel, one: OutputModel, otherChip: ChipModel, other: OutputModel): boolean {
    if (oneChip !== otherChip) {
      return (
        oneChip.outputs.indexOf(one) === otherChip.outputs.indexOf(other) && this.#sameSections(oneChip, otherChip)
      );
    }
    if (one.alike !== other.alike) return false;
    return oneChip.pins.every((pin) => sameDelays(oneChip, pin, one, oneChip, pin, other));
  }

  /** Two pins of one section of which no more is known than that they are captured. */
  #sameCaptures(chip: ChipModel, one: PinModel, other: PinModel): boolean {
    const { memory, storage, pins } = chip;
    if (memory) {
      const areData = memory.data.includes(one.slot) && memory.data.includes(other.slot);
      return areData && DATA_SYMBOLS.every((symbol) => !isMissing(chip.chip.part.figures.memory(symbol)));
    }
    const readers = (pin: PinModel) => storage.filter(({ next }) => next.slots.includes(pin.slot));
    return (
      pairwise(
        readers(one),
        readers(other),
        (a, b) =>
          a.kind === b.kind &&
          a.gate === b.gate &&
          pairwise(a.overrides, b.overrides, (x, y) => x.when === y.when) &&
          sameTable(a.next, b.next) &&
          pairwise(
            a.next.slots,
            b.next.slots,
            (x, y) =>
              (x === one.slot && y === other.slot) ||
              (x === y && x !== other.slot) ||
              (isDataBit(this.#model, chip, x) && isDataBit(this.#model, chip, y)),
          ),
      ) && pins.every((reference) => sameWindows(chip, one, reference, chip, other, reference))
    );
  }

  /** Sections of one chip that are alike pin by pin, where each other pin is on the same net or on one of the bit's own. */
  #sameSections(one: ChipModel, other: ChipModel): boolean {
    return (
      one.chip === other.chip &&
      !one.memory &&
      !other.memory &&
      this.#componentOf(one) === this.#componentOf(other) &&
      one.slotNames.length === other.slotNames.length &&
      one.fixed.every((level, slot) => level === other.fixed[slot]) &&
      pairwise(one.gates, other.gates, (a, b) => a.kind === b.kind && sameLogic(a.logic, b.logic)) &&
      pairwise(
        one.storage,
        other.storage,
        (a, b) =>
          a.kind === b.kind &&
          a.gate === b.gate &&
          a.slot === b.slot &&
          sameLogic(a.next, b.next) &&
          isDataBit(this.#model, one, a.slot) === isDataBit(this.#model, other, b.slot) &&
          pairwise(a.overrides, b.overrides, (x, y) => sameLogic(x.when, y.when) && sameLogic(x.value, y.value)),
      ) &&
      pairwise(one.pins, other.pins, (a, b) => this.#sameInPlace(one, a, other, b)) &&
      pairwise(one.outputs, other.outputs, (a, b) => this.#sameShown(one, a, other, b))
    );
  }

  #sameInPlace(oneChip: ChipModel, one: PinModel, otherChip: ChipModel, other: PinModel): boolean {
    const isSameNet = one.net === other.net;
    return (
      one.slot === other.slot &&
      one.acts === other.acts &&
      one.isCaptured === other.isCaptured &&
      one.uses.join() === other.uses.join() &&
      (isSameNet || this.#areTwins(one.net, other.net) || (!one.acts && this.#holdData(oneChip, otherChip))) &&
      (!isSameNet || one.name === other.name) &&
      oneChip.pins.every((reference, index) => {
        const twin = otherChip.pins[index];
        return twin !== undefined && sameWindows(oneChip, one, reference, otherChip, other, twin);
      })
    );
  }

  #sameShown(oneChip: ChipModel, one: OutputModel, otherChip: ChipModel, other: OutputModel): boolean {
    const [value, otherValue] = [one.value, other.value];
    return (
      value !== "memory" &&
      otherValue !== "memory" &&
      sameLogic(value, otherValue) &&
      (one.enable && other.enable ? sameLogic(one.enable, other.enable) : one.enable === other.enable) &&
      oneChip.pins.every((pin, index) => {
        const twin = otherChip.pins[index];
        return twin !== undefined && sameDelays(oneChip, pin, one, otherChip, twin, other);
      })
    );
  }

  #areTwins(one: NetModel, other: NetModel): boolean {
    const index = this.#one.nets.indexOf(one);
    return index >= 0 && this.#other.nets[index] === other;
  }

  #holdData(...chips: readonly ChipModel[]): boolean {
    return chips.every((chip) => chip.storage.every(({ slot }) => isDataBit(this.#model, chip, slot)));
  }
}

const NOTHING: Slice = { nets: [], outputs: [], pins: [], outside: [] };

function pairwise<T>(one: readonly T[], other: readonly T[], isAlike: (a: T, b: T) => boolean): boolean {
  return (
    one.length === other.length &&
    one.every((a, index) => {
      const b = other[index];
      return b !== undefined && isAlike(a, b);
    })
  );
}

function sameRoles(one: NetModel, other: NetModel): boolean {
  return one.receivers.length === other.receivers.length;
}

function sameOutside(one: OutsideModel, other: OutsideModel): boolean {
  const told = ({ input, edges }: OutsideModel) => JSON.stringify([input.timing, input.levels, input.by, edges]);
  return told(one) === told(other);
}

function sameLogic(one: Logic, other: Logic): boolean {
  return pairwise(one.slots, other.slots, (a, b) => a === b) && sameTable(one, other);
}

/** Whether two expressions are one function of their signals, in order. */
function sameTable(one: Logic, other: Logic): boolean {
  if (one === other) return true;
  const count = one.slots.length;
  if (count !== other.slots.length || count > MOST_COMPARED) return false;
  const at = (logic: Logic, bits: number) =>
    logic.possible((slot) => ((bits >> logic.slots.indexOf(slot)) & 1 ? HIGH : LOW));
  for (let bits = 0; bits < 1 << count; bits++) if (at(one, bits) !== at(other, bits)) return false;
  return true;
}

function sameDelays(
  oneChip: ChipModel,
  onePin: PinModel,
  one: OutputModel,
  otherChip: ChipModel,
  otherPin: PinModel,
  other: OutputModel,
): boolean {
  if (!onePin.acts) return !otherPin.acts;
  const told = (chip: ChipModel, pin: PinModel, edge: Edge, output: OutputModel, change: Change) =>
    textOf(chip.chip.part.figures.delay(pin.name, edge, output.pin, change));
  return EDGES.every((edge) =>
    CHANGES.every((change) => {
      const figure = told(oneChip, onePin, edge, one, change);
      return figure === told(otherChip, otherPin, edge, other, change);
    }),
  );
}

function sameWindows(
  oneChip: ChipModel,
  one: PinModel,
  oneReference: PinModel,
  otherChip: ChipModel,
  other: PinModel,
  otherReference: PinModel,
): boolean {
  const told = (chip: ChipModel, pin: PinModel, reference: PinModel) =>
    (["set-up", "hold"] as const)
      .map((kind) => textOf(chip.chip.part.figures.window(kind, pin.name, reference.name)))
      .join();
  return told(oneChip, one, oneReference) === told(otherChip, other, otherReference);
}

/** What a figure says, but for the words for what is missing, which name the pin. */
function textOf(figure: object): string {
  return isMissing(figure) ? "missing" : JSON.stringify(figure);
}
