import { componentsOf } from "../components.js";
import type { Check } from "../check.js";
import type { ChipModel, Model, NetModel } from "../model.js";
import { Likeness } from "./alike.js";
import { OtherNames } from "./other-names.js";
import { withoutSlices } from "./reduced-model.js";
import { type Slice, sliceFrom } from "./slice.js";

/**
 * Bits of a bus that are alike in all that a proof looks at: only the first of each kind is followed, and what is found of
 * it is true of the others, by their names.
 */
export class LikeBits {
  /** The model without the bits that are like another one. */
  readonly model: Model;
  readonly #others: readonly OtherNames[];

  constructor(model: Model, everyBit = false) {
    const kinds = everyBit ? [] : kindsOf(model);
    const left = kinds.flatMap(([, ...others]) => others);
    this.model = left.length > 0 ? withoutSlices(model, left) : model;
    this.#others = kinds.flatMap(([first, ...others]) =>
      first ? others.map((other) => new OtherNames(model.time, first, other)) : [],
    );
  }

  /** How many bits are not followed. */
  get count(): number {
    return this.#others.length;
  }

  /** What a check of a bit says of the others like it; empty for any other check. */
  ofOthers(check: Check): readonly Check[] {
    return this.#others.flatMap((names) => (names.isOf(check) ? [names.check(check)] : []));
  }

  /** Adds the figures that are missing of the other bits, where they are of one. */
  addMissing(missing: Set<string>): void {
    for (const figure of [...missing]) for (const names of this.#others) missing.add(names.text(figure));
  }
}

/** Slices that are alike, the first of each kind first. No net is in two of them. */
function kindsOf(model: Model): readonly (readonly Slice[])[] {
  const components = componentsOf(model);
  const componentOf = (chip: ChipModel) => components.findIndex((component) => component.has(chip));
  const likeness = new Likeness(model, componentOf);
  const slices = model.nets.flatMap((net) => sliceFrom(model, net) ?? []);
  // The longest first: what begins further on is part of it.
  const order = [...slices].sort((a, b) => b.nets.length - a.nets.length);
  const taken = new Set<NetModel>();
  const isFree = ({ nets }: Slice) => nets.every((net) => !taken.has(net));
  const kinds: (readonly Slice[])[] = [];
  for (const slice of order) {
    if (!isFree(slice)) continue;
    const kind = [slice];
    const nets = new Set(slice.nets);
    for (const other of order) {
      if (other === slice || !isFree(other) || other.nets.some((net) => nets.has(net))) continue;
      if (!likeness.areAlike(slice, other)) continue;
      kind.push(other);
      for (const net of other.nets) nets.add(net);
    }
    if (kind.length < 2) continue;
    for (const net of nets) taken.add(net);
    kinds.push(kind);
  }
  return kinds;
}
