import type { Chip, Circuit, Net, NetId } from "../../circuit/index.js";
import { namesIn, requirementsOf } from "../../parts/index.js";

/** A register of the circuit between its data inputs and its outputs. */
interface RegisterPlace {
  readonly chip: Chip;
  readonly clocks: readonly Net[];
  readonly data: readonly Net[];
  readonly outputs: readonly Net[];
}

/** Which nets carry the same signal a clock earlier or later, turned over, or gated with others. */
export class RegisterGraph {
  readonly #circuit: Circuit;
  readonly #beside = new Map<NetId, Set<Net>>();
  readonly #places: readonly RegisterPlace[];
  /** Nets that a clock edge is taken from anywhere. */
  readonly clocks: readonly Net[];
  /** Nets that registers drive. */
  readonly outputs: readonly Net[];
  /** Nets that chips drive and nothing reads, not even a resistor or the monitor. */
  readonly unread: readonly Net[];

  constructor(circuit: Circuit) {
    this.#circuit = circuit;
    this.#places = circuit.chips.flatMap(registersOf);
    for (const { data, outputs } of this.#places) {
      for (const one of outputs) {
        for (const other of [...data, ...outputs]) this.#join(one, other);
      }
    }
    for (const [input, output] of circuit.chips.flatMap(gates)) this.#join(input, output);
    const signals = (nets: readonly Net[]) => [...new Set(nets)].filter(({ rail }) => !rail);
    this.clocks = signals(this.#places.flatMap(({ clocks }) => clocks));
    const outside = new Set([...circuit.passives.flatMap(({ nets }) => nets), ...namesOfPicture(circuit)]);
    this.unread = circuit.nets.filter(
      ({ name, drivers, receivers }) => drivers.length > 0 && receivers.length === 0 && !outside.has(name),
    );
    this.outputs = signals(this.#places.flatMap(({ outputs }) => outputs));
  }

  /** Clocks of the registers that a net comes from or goes to. */
  clocksBeside(net: Net): readonly Net[] {
    const near = this.#places.filter(({ data, outputs }) => [...data, ...outputs].some(({ id }) => id === net.id));
    return [...new Set(near.flatMap(({ clocks }) => clocks))];
  }

  /** Data nets of the register that drives a net. */
  dataOf(net: Net): readonly Net[] {
    return this.#places.flatMap(({ data, outputs }) => (outputs.some(({ id }) => id === net.id) ? data : []));
  }

  /** Nets that are a clock earlier or later or turned over, the nearest first. */
  near(net: Net, most: number): readonly Net[] {
    const found: Net[] = [];
    const seen = new Set<NetId>([net.id]);
    let ring = [net];
    while (ring.length > 0 && found.length < most) {
      const next = ring
        .flatMap((one) => [...(this.#beside.get(one.id) ?? [])])
        .filter(({ id, rail }) => {
          if (rail || seen.has(id)) return false;
          seen.add(id);
          return true;
        });
      found.push(...next);
      ring = next;
    }
    return found.slice(0, most);
  }

  /** A name that no net has yet. */
  freeNet(stem: string): string {
    return freeNetName(
      this.#circuit.nets.map(({ name }) => name),
      stem,
    );
  }

  /** The next free designator of a chip or a resistor. */
  freeRef(letter: "U" | "R"): string {
    const { chips, passives } = this.#circuit;
    const taken = new Set([...chips, ...passives].map(({ ref }) => ref));
    for (let number = 1; ; number++) if (!taken.has(`${letter}${number}`)) return `${letter}${number}`;
  }

  #join(one: Net, other: Net): void {
    if (one.id === other.id) return;
    for (const [from, to] of [
      [one, other],
      [other, one],
    ] as const) {
      const list = this.#beside.get(from.id) ?? new Set();
      list.add(to);
      this.#beside.set(from.id, list);
    }
  }
}

function namesOfPicture({ picture, nets }: Circuit): readonly string[] {
  if (!picture) return [];
  const { hsync, vsync, video } = picture;
  const dots = video.kind === "mono" ? [video.net] : [...video.red, ...video.green, ...video.blue];
  return [hsync, vsync, ...dots].flatMap((id) => nets[id]?.name ?? []);
}

/** A name after another one that is not taken. */
export function freeNetName(taken: readonly string[], stem: string): string {
  const plain = stem.replace(/#$/, "");
  const active = stem.endsWith("#") ? "#" : "";
  for (let number = 2; ; number++) {
    const name = `${plain}_${number}${active}`;
    if (!taken.includes(name)) return name;
  }
}

/** A name for a net that carries the same turned over. */
export function turnedNetName(taken: readonly string[], stem: string): string {
  const turned = stem.endsWith("#") ? stem.slice(0, -1) : `${stem}#`;
  return taken.includes(turned) ? freeNetName(taken, turned) : turned;
}

function registersOf(chip: Chip): readonly RegisterPlace[] {
  const { behaviour } = chip.part;
  const { windows } = requirementsOf(behaviour);
  const nets = (pins: readonly string[]) => pins.flatMap((pin) => chip.nets.get(pin) ?? []);
  return behaviour.storage.flatMap((bit): readonly RegisterPlace[] => {
    if (bit.kind !== "register") return [];
    const own = windows.filter(({ ends, storage }) => ends === "clock" && storage.includes(bit.name));
    const outputs = behaviour.outputs.filter(({ value }) => namesIn(value).includes(bit.name)).map(({ pin }) => pin);
    return [
      {
        chip,
        clocks: nets([...new Set(own.map(({ reference }) => reference))]),
        data: nets([...new Set(own.map(({ pin }) => pin))]).filter(({ rail }) => !rail),
        outputs: nets(outputs),
      },
    ];
  });
}

/** Gates, from each of their inputs to their output. */
function gates(chip: Chip): readonly (readonly [Net, Net])[] {
  const { behaviour } = chip.part;
  if (behaviour.storage.length > 0 || behaviour.memory) return [];
  return behaviour.outputs.flatMap(({ pin, value, enable }): readonly (readonly [Net, Net])[] => {
    const output = chip.nets.get(pin);
    if (!output || enable) return [];
    const inputs = new Set(namesIn(value).flatMap((name) => chip.nets.get(name) ?? []));
    return [...inputs].filter(({ rail }) => !rail).map((input) => [input, output] as const);
  });
}
