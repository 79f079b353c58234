import type { Check } from "../check.js";
import type { DelayVariable } from "../delay-variable.js";
import type { Moment } from "../moment.js";
import type { PathId } from "../paths.js";
import type { TimeLine } from "../time-line.js";
import type { Slice } from "./slice.js";

/** Turns what was found of one bit of a bus into what is true of another: the same with other pins, nets and delays. */
export class OtherNames {
  readonly #time: TimeLine;
  readonly #nets: ReadonlyMap<string, string>;
  /** Other names of pins, by chip and pin. */
  readonly #pins: ReadonlyMap<string, string>;
  readonly #refs: ReadonlySet<string>;
  readonly #variables = new Map<number, DelayVariable>();
  readonly #paths = new Map<PathId, PathId>();

  constructor(time: TimeLine, one: Slice, other: Slice) {
    this.#time = time;
    this.#nets = new Map(one.nets.map(({ net }, index) => [net.name, other.nets[index]?.net.name ?? net.name]));
    const pins = one.pins.map(({ chip, pin }, index) => {
      return [placeAt(chip.chip.ref, pin.name), other.pins[index]?.pin.name ?? pin.name] as const;
    });
    const outputs = one.outputs.map(({ chip, output }, index) => {
      return [placeAt(chip.chip.ref, output.pin), other.outputs[index]?.output.pin ?? output.pin] as const;
    });
    this.#pins = new Map([...pins, ...outputs]);
    this.#refs = new Set([...one.pins, ...one.outputs].map(({ chip }) => chip.chip.ref));
  }

  /** Whether a check is of the bit that these are other names of. */
  isOf({ net }: Check): boolean {
    return this.#nets.has(net);
  }

  check(check: Check): Check {
    const { chip, pin, net, reference, earlier, later, note } = check;
    return {
      ...check,
      pin: this.#pin(chip, pin),
      net: this.#net(net),
      reference: reference.includes(" ") ? this.text(reference) : this.#pin(chip, reference),
      ...(earlier && { earlier: this.#moment(earlier) }),
      ...(later && { later: this.#moment(later) }),
      ...(note !== undefined && { note: this.text(note) }),
    };
  }

  /** Words with the other names: of pins after the name of their chip, of nets elsewhere. */
  text(words: string): string {
    let ref = "";
    return words
      .split(/([ ,;:]+)/)
      .map((word, index) => {
        if (index % 2 === 1) return word;
        if (this.#refs.has(word)) ref = word;
        return this.#pins.get(placeAt(ref, word)) ?? this.#net(word);
      })
      .join("");
  }

  #moment({ path, tick }: Moment): Moment {
    return { path: this.#path(path), tick };
  }

  #path(path: PathId): PathId {
    const known = this.#paths.get(path);
    if (known !== undefined) return known;
    const variables = this.#time.chain(path).map((variable) => this.#variable(variable));
    const made = variables.reduce(
      (at, variable) => this.#time.extend(at, variable),
      this.#time.root(this.#time.rootOf(path)),
    );
    this.#paths.set(path, made);
    return made;
  }

  #variable(variable: DelayVariable): DelayVariable {
    const known = this.#variables.get(variable.id);
    if (known) return known;
    const made = this.#renamed(variable);
    this.#variables.set(variable.id, made);
    return made;
  }

  #renamed(variable: DelayVariable): DelayVariable {
    const { kind, chip, from, to, label } = variable;
    const names =
      kind === "arc"
        ? { from: this.#pin(chip, from), to: this.#pin(chip, to) }
        : kind === "wire"
          ? { from: from.includes(" ") ? this.text(from) : this.#net(from), to: this.text(to) }
          : { from: this.#net(from), to };
    return names.from === from && names.to === to
      ? variable
      : this.#time.variable({ ...variable, ...names, label: this.text(label) });
  }

  #pin(ref: string, pin: string): string {
    return this.#pins.get(placeAt(ref, pin)) ?? pin;
  }

  #net(net: string): string {
    return this.#nets.get(net) ?? net;
  }
}

function placeAt(ref: string, pin: string): string {
  return `${ref} ${pin}`;
}
