import type { Chip, Circuit } from "../../circuit/index.js";
import { type Part, findPart, isPartProblem } from "../../parts/index.js";
import type { Change } from "./change.js";
import { conditionsFor } from "./gain.js";
import { inputLimits, inputsAdded } from "./input-limits.js";
import type { ElectricalVerdict } from "../../electrical/index.js";
import type { ChainStep } from "../../timing/index.js";
import { type Choice, Chooser, type Limit, type Objection, standingIn } from "./choose-together.js";
import { type Demand, costOf, demandsOf, foreseen, isWiredAsThen } from "./demands.js";
import { type OpenSlot, chipSlots, gateSlots } from "./slots.js";
import { type Edit, applyEdits } from "./edits.js";
import { type Evaluation, failingLevels } from "./evaluate.js";

/** A text with several chips changed at once. */
export interface Overhauled {
  readonly changes: readonly Change[];
  readonly text: string;
  /** What is thought to be gained, in what a place costs that fails. */
  readonly gain: number;
}

/** How often a choice is made anew for levels that did not go together. */
const MOST_CHOICES = 25;
/** Less gain than that is none: what stands is as good. */
const WORTH_A_PROOF = 0.5;
/** What a pair costs of which a level failed: more than some nanoseconds. */
const OBJECTS = 20;

/**
 * Changes many chips of a circuit at once. Each proof says by which chains of delays every margin came about, and those are
 * kept: the next choice has to satisfy all of them.
 */
export class Overhaul {
  readonly #read: (text: string) => Circuit | undefined;
  /** By name and chains: of the same ones the last proof counts. */
  readonly #demands = new Map<string, Demand>();
  readonly #objections: Objection[] = [];
  readonly #seen = new Set<string>();

  constructor(read: (text: string) => Circuit | undefined) {
    this.#read = read;
  }

  /** What a proof found of the text from which it goes on. */
  learn(text: string, evaluation: Evaluation): void {
    this.#seen.add(text);
    const { circuit } = evaluation;
    if (!circuit) return;
    for (const [key, demand] of this.#demands) {
      if (!circuit.chips.every((chip) => isWiredAsThen(demand, chip))) this.#demands.delete(key);
    }
    for (const demand of demandsOf(evaluation)) {
      const key = chainsKey(demand);
      const before = this.#demands.get(key);
      this.#demands.set(key, demand);
      // What was foreseen to hold and does not: these parts do not go together, whatever their figures say without loads.
      if (demand.marginNs < 0 && before && foreseen(before, circuit) >= 0) {
        const standing = new Map([...demand.chips].map(([ref, { part }]) => [ref, part.number]));
        this.#objections.push({ standing, cost: costOf(demand.marginNs) * demand.weight });
      }
    }
  }

  /** The text with chips changed so that as far as is known nothing is short; undefined where nothing better is known. */
  next(text: string, { circuit }: Evaluation): Overhauled | undefined {
    if (!circuit) return undefined;
    const demands = [...this.#demands.values()];
    const levels = failingLevels(circuit);
    const chips = chipSlots(circuit);
    // Gates come last: a part in a chip's place costs nothing but its price.
    const without = this.#chosen(text, circuit, demands, chips, levels);
    if (without && without.gain > WORTH_A_PROOF && !this.#seen.has(without.text)) return without;
    return this.#chosen(text, circuit, demands, [...chips, ...gateSlots(circuit, demands)], levels);
  }

  #chosen(
    text: string,
    circuit: Circuit,
    demands: readonly Demand[],
    slots: readonly OpenSlot[],
    levels: readonly ElectricalVerdict[],
  ): Overhauled | undefined {
    const known = new Set(levels.map(({ name }) => name));
    const chooser = new Chooser(demands, slots, limitsIn(circuit));
    chooser.object(this.#objections);
    let best: Overhauled | undefined;
    for (let tries = 0; tries < MOST_CHOICES; tries++) {
      const { choices, gain } = chooser.run();
      const objected = this.#objections.length;
      const made = this.#made(text, slots, choices);
      if (!made) break;
      best = { ...made, gain };
      // Loads are limits of the choice already.
      const failing = failingLevels(made.circuit).filter(
        ({ name, rule }) => !known.has(name) && rule !== "load capacitance",
      );
      if (failing.length === 0) break;
      for (const { chip, reference } of failing)
        this.#object(slots, choices, made.slotOf, [chip, reference.split(" ")[0] ?? ""]);
      chooser.object(this.#objections.slice(objected));
    }
    return best && best.changes.length > 0 ? best : undefined;
  }

  #object(
    slots: readonly OpenSlot[],
    choices: readonly Choice[],
    slotOf: ReadonlyMap<string, string>,
    refs: readonly string[],
  ): void {
    const own = refs.flatMap((ref): readonly (readonly [string, string])[] => {
      const place = slotOf.get(ref) ?? ref;
      const at = slots.findIndex((slot) => slot.place === place);
      const slot = slots[at];
      return slot ? [[place, standingIn(slot, choices[at])]] : [];
    });
    this.#objections.push({ standing: new Map(own), cost: OBJECTS });
  }

  /** The text with what was chosen. Names that are free are looked for anew after each change. */
  #made(text: string, slots: readonly OpenSlot[], choices: readonly Choice[]) {
    const changes: Change[] = [];
    const slotOf = new Map<string, string>();
    let made = text;
    let circuit = this.#read(text);
    // What comes between chips is put in first, while these and their pins are those that it was made for.
    const ordered = [...slots.entries()].sort(([, one], [, other]) => Number(isOfChip(one)) - Number(isOfChip(other)));
    for (const [index, slot] of ordered) {
      const chosen = choices[index];
      const chip = circuit?.chips.find(({ ref }) => ref === slot.chip.ref);
      if (!chosen || !circuit || !chip) continue;
      const standIn =
        chosen.change.kind === "part" ? chosen : slot.again(circuit, chip).find(({ key }) => key === chosen.key);
      const edited = standIn && applyEdits(made, standIn.change.edits);
      if (!standIn || edited === undefined) continue;
      made = edited;
      changes.push(standIn.change);
      for (const ref of addedBy(standIn.change.edits)) slotOf.set(ref, slot.place);
      circuit = this.#read(made);
    }
    return circuit && { changes, text: made, circuit, slotOf };
  }
}

/** The inputs that drivers bear. */
function limitsIn(circuit: Circuit): readonly Limit[] {
  const found = new Map<string, Part | undefined>();
  const partOf = (number: string, at: Chip | undefined) => {
    const chip = at ?? circuit.chips.find(({ supply }) => supply.name === "main");
    if (!found.has(number) && chip) {
      const part = findPart(number, conditionsFor(circuit, chip));
      found.set(number, isPartProblem(part) ? undefined : part);
    }
    return found.get(number);
  };
  return inputLimits(circuit).map((limit) => ({
    ...limit,
    added: (_, { change }) => inputsAdded(circuit, limit, change.edits, partOf),
  }));
}

function isOfChip({ place, chip }: OpenSlot): boolean {
  return place === chip.ref;
}

/** A margin by its verdict and the ways it came about. */
function chainsKey({ verdict: { name, chains } }: Demand): string {
  const steps = (chain: readonly ChainStep[] = []) =>
    chain
      .filter(({ kind }) => kind === "arc")
      .map(({ chip, from, edge, to, change }) => `${chip} ${from} ${edge} ${to} ${change}`);
  return [name, ...steps(chains?.earlier), "", ...steps(chains?.later)].join("; ");
}

function addedBy(edits: readonly Edit[]): readonly string[] {
  return edits.flatMap((edit) => (edit.kind === "chip" ? [edit.chip] : []));
}
