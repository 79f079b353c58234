import { type Behaviour, type Expression, type Storage, evaluate, memoryPorts } from "../../src/parts/index.js";

export type Level = 0 | 1;

/** One chip by itself, without delays: its pins are set, it settles, what it drives is read. */
export interface ZeroDelayChip {
  /**
   * Sets input and in-out pins all at once and settles. Registers that this clocks take what their data were before. Other
   * pins keep their level; at first all are low.
   */
  set(levels: Readonly<Record<string, Level>>): ZeroDelayChip;
  /** What the chip drives on an output or in-out pin. */
  drives(pin: string): Level | "Z";
  /** A storage bit. */
  bit(name: string): Level;
  /** A memory's word; 0 where nothing was written. */
  word(address: number): number;
}

/** What the chip holds at power-up; every bit is low and every word 0 unless given. */
export interface PowerUp {
  readonly storage?: Readonly<Record<string, Level>>;
  readonly words?: ReadonlyMap<number, number>;
  /** Levels at the pins from the beginning. */
  readonly levels?: Readonly<Record<string, Level>>;
}

/** More rounds than any part has storage bits in a row: beyond it the part swings for ever. */
const MOST_ROUNDS = 64;

export function zeroDelayChip(behaviour: Behaviour, powerUp: PowerUp = {}): ZeroDelayChip {
  let pins: Readonly<Record<string, Level>> = { ...powerUp.levels };
  let bits: Readonly<Record<string, Level>> = Object.fromEntries(
    behaviour.storage.map(({ name }) => [name, powerUp.storage?.[name] ?? 0]),
  );
  const words = new Map(powerUp.words);
  const value = (expression: Expression, at = pins, holding = bits): Level =>
    evaluate(expression, (name) => holding[name] ?? at[name] ?? 0);
  const clockOf = (bit: Storage): Level => (bit.kind === "register" ? value(bit.clock) : 0);
  const clocks = () => behaviour.storage.map(clockOf);

  /** What a bit is forced to or follows now; undefined while it keeps its value. */
  const atOnce = (bit: Storage): Level | undefined => {
    const override = bit.overrides.find(({ when }) => value(when) === 1);
    if (override) return value(override.value);
    return bit.kind === "latch" && value(bit.open) === 1 ? value(bit.next) : undefined;
  };
  const settleAtOnce = () => {
    for (let round = 0; round < MOST_ROUNDS; round++) {
      const next = Object.fromEntries(behaviour.storage.map((bit) => [bit.name, atOnce(bit) ?? bits[bit.name] ?? 0]));
      if (behaviour.storage.every(({ name }) => next[name] === bits[name])) return;
      bits = next;
    }
    throw new Error(`${behaviour.function} does not settle`);
  };
  const number = (names: readonly string[]) => names.reduce((sum, name, i) => sum + (pins[name] ?? 0) * 2 ** i, 0);
  const settleMemory = () => {
    for (const { address, data, write } of memoryPorts(behaviour)) {
      if (write && value(write) === 1) words.set(number(address), number(data));
    }
  };

  const chip: ZeroDelayChip = {
    set(levels) {
      let [pinsBefore, bitsBefore, clocksBefore] = [pins, bits, clocks()];
      pins = { ...pins, ...levels };
      for (let round = 0; round < MOST_ROUNDS; round++) {
        settleAtOnce();
        const clocked = behaviour.storage.filter((bit, i) => clocksBefore[i] === 0 && clockOf(bit) === 1);
        if (clocked.length === 0) {
          settleMemory();
          return chip;
        }
        clocksBefore = clocks();
        const taken = clocked.map((bit) => [bit.name, value(bit.next, pinsBefore, bitsBefore)] as const);
        bits = { ...bits, ...Object.fromEntries(taken) };
        [pinsBefore, bitsBefore] = [pins, bits];
      }
      throw new Error(`${behaviour.function} does not settle`);
    },
    drives(pin) {
      const output = behaviour.outputs.find((one) => one.pin === pin);
      if (output) return output.enable && value(output.enable) === 0 ? "Z" : value(output.value);
      const port = memoryPorts(behaviour).find(({ data }) => data.includes(pin));
      if (!port) throw new Error(`${behaviour.function} has no settled output ${pin}`);
      if (value(port.read) === 0 || (port.write && value(port.write) === 1)) return "Z";
      return ((chip.word(number(port.address)) >> port.data.indexOf(pin)) & 1) as Level;
    },
    bit: (name) => bits[name] ?? 0,
    word: (place) => words.get(place) ?? 0,
  };
  settleAtOnce();
  settleMemory();
  return chip;
}
