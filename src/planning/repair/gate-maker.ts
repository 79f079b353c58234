import type { Circuit } from "../../circuit/index.js";
import { behaviourOf } from "../../parts/index.js";
import { freeNames } from "./added-chips.js";
import type { Edit } from "./edits.js";
import { type GateCell, gatesOf } from "./gate-cells.js";

/** Puts gates of one or two inputs into gates that are free, or into chips that come anew. */
export class GateMaker {
  readonly edits: Edit[] = [];
  readonly refs: string[] = [];
  added = 0;
  readonly #circuit: Circuit;
  /** Free gates by part: chip and cell; of a new chip with what its edit says. */
  readonly #free: {
    readonly part: string;
    readonly chip: string;
    readonly cell: GateCell;
    readonly pins?: Record<string, string>;
  }[];

  readonly #taken: readonly string[];

  /** `taken` are names of chips that come beside. */
  constructor(circuit: Circuit, taken: readonly string[] = []) {
    this.#circuit = circuit;
    this.#taken = taken;
    this.#free = circuit.chips.flatMap((chip) =>
      (gatesOf(chip.part.behaviour) ?? [])
        .filter(
          ({ inputs, output }) =>
            inputs.length <= 2 && !chip.nets.has(output) && inputs.every((pin) => chip.nets.get(pin)?.rail),
        )
        .map((cell) => ({ part: chip.part.number, chip: chip.ref, cell })),
    );
  }

  /** A gate that passes a signal on: its other input is at rest. */
  pass(part: string, note: string, net: string, output: string): void {
    this.add(part, note, net, part.endsWith("08") ? "high" : "low", output);
  }

  invert(part: string, note: string, net: string, output: string): void {
    this.add(part, note, net, net, output);
  }

  add(part: string, note: string, one: string, other: string, output: string): void {
    const at = this.#free.findIndex((free) => free.part === part);
    const [free] = at < 0 ? [] : this.#free.splice(at, 1);
    if (!free) {
      this.#addChip(part, note);
      this.add(part, note, one, other, output);
      return;
    }
    const inputs = free.cell.inputs.map((pin, index) => [pin, index === 0 ? one : other] as const);
    if (!this.refs.includes(free.chip)) this.refs.push(free.chip);
    for (const [pin, net] of [...inputs, [free.cell.output, output] as const]) {
      if (free.pins) free.pins[pin] = net;
      else this.edits.push({ kind: "net", chip: free.chip, pin, net });
    }
  }

  #addChip(part: string, note: string): void {
    const { chips, passives } = this.#circuit;
    const taken = [...[...chips, ...passives].map(({ ref }) => ref), ...this.#taken, ...this.refs];
    const [chip = ""] = freeNames(taken, "U", 1);
    const behaviour = behaviourOf(/\d+$/.exec(part)?.[0] ?? "");
    const cells = behaviour ? (gatesOf(behaviour) ?? []) : [];
    if (cells.length === 0) throw new RangeError(`${part} is no gate`);
    const pins: Record<string, string> = {};
    for (const { inputs, output } of cells)
      for (const pin of [...inputs, output]) pins[pin] = pin === output ? "open" : "low";
    this.added++;
    this.refs.push(chip);
    this.edits.push({ kind: "chip", chip, part, note, pins });
    this.#free.push(...cells.map((cell) => ({ part, chip, cell, pins })));
  }
}
