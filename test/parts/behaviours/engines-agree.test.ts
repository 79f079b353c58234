import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { NetId } from "../../../src/circuit/circuit.js";
import { readOwnParts } from "../../../src/circuit/index.js";
import {
  type Behaviour,
  type Expression,
  type OwnFunction,
  behaviours,
  evaluate,
  memoryPorts,
  requirementsOf,
} from "../../../src/parts/index.js";
import { ns } from "../../../src/quantity/index.js";
import { Machine } from "../../../src/simulation/compiled/index.js";
import {
  Simulator,
  UNDRIVEN,
  VALUE_LETTERS,
  type Value,
  chooseDelays,
  compileTables,
} from "../../../src/simulation/index.js";
import { type Logic, compileLogic } from "../../../src/timing/compiled-logic.js";
import { EITHER, HIGH, LOW, type LevelSet } from "../../../src/timing/level-set.js";
import { ANY_TIME, buildCircuit, chipOf, makePart, netOf } from "../../support/build-circuit.js";
import { randomNumbers } from "../../support/random-bits.js";
import { type Level, type ZeroDelayChip, zeroDelayChip } from "../../support/zero-delay-chip.js";

/** Time from one change to the next in ns: longer than any delay below, so that all comes to rest. */
const STEP = 200;
/** How long the outside leaves a bus alone after a change, in ns: the chip may still drive it. */
const TURN_AROUND = 60;
/** When the outside lets a bus go that the chip is about to drive, in ns: after what a write takes, before any delay is over. */
const LETTING_GO = 2;

/** Pins turned over, one at a time. */
interface Turn {
  readonly isClock: boolean;
  readonly place: number;
}

const pinsOf = (behaviour: Behaviour, role: string) =>
  behaviour.pins.filter((pin) => pin.role === role).map(({ name }) => name);

/**
 * Of a wide memory only the four least and the four greatest address pins move: 256 cells are enough to watch. The two ports
 * of a dual-port RAM stay in halves of their own: what happens where they meet is looked at elsewhere.
 */
function movingPins(behaviour: Behaviour): { readonly clocks: readonly string[]; readonly others: readonly string[] } {
  const ports = memoryPorts(behaviour).map(({ address }) => address);
  const still = new Set(
    ports.flatMap((address) => [...address.slice(4, -4), ...(ports.length > 1 ? address.slice(-1) : [])]),
  );
  const clocks = [...new Set(requirementsOf(behaviour).clocks.map(({ pin }) => pin))];
  const inputs = [...pinsOf(behaviour, "input"), ...pinsOf(behaviour, "in-out")].filter((pin) => !still.has(pin));
  return { clocks: clocks.length > 0 ? clocks : inputs, others: inputs };
}

function contentsOf(behaviour: Behaviour): ReadonlyMap<number, number> {
  const pins = behaviour.memory?.address.length ?? 0;
  const high = 2 ** (pins - 4);
  return new Map(
    Array.from({ length: pins === 0 ? 0 : 256 }, (_, n) => [(n >> 4) * high + (n & 15), (n * 181 + 77) & 255]),
  );
}

/** A net's name without the signs that mean something in the text of a test circuit. */
const netName = (pin: string) => `N_${pin.replaceAll(/[=.]/g, "_")}`;

/** The part by itself in the timed simulation, every arc with a delay of its own, and in the compiled one. */
class SimulatedPart {
  readonly #simulator: Simulator;
  readonly #machine: Machine;
  readonly #circuit;
  #time = 0;

  constructor(behaviour: Behaviour, first: ReadonlyMap<string, Level | "Z">) {
    const signals = behaviour.pins.filter(({ role }) => ["input", "output", "in-out"].includes(role));
    const delay = (from: string, edge: string, to: string, change: string) =>
      5 + ([...`${from} ${edge} ${to} ${change}`].reduce((sum, letter) => sum * 31 + letter.charCodeAt(0), 7) % 50);
    this.#circuit = buildCircuit({
      chips: {
        U1: [makePart(behaviour, { delay }), signals.map(({ name }) => `${name}=${netName(name)}`).join(" ")],
      },
      inputs: Object.fromEntries([...first.keys()].map((pin) => [netName(pin), ANY_TIME])),
    });
    const chip = chipOf(this.#circuit, "U1");
    const bytes = new Uint8Array(2 ** (behaviour.memory?.address.length ?? 0));
    for (const [address, byte] of contentsOf(behaviour)) bytes[address] = byte;
    const tables = compileTables(this.#circuit);
    const options = {
      powerUp: "low" as const,
      inputs: new Map<NetId, Value>(
        [...first].map(([pin, level]) => [this.#net(pin), level === "Z" ? UNDRIVEN : level]),
      ),
      ...(behaviour.memory && { contents: new Map([[chip, bytes]]) }),
    };
    this.#simulator = new Simulator(tables, chooseDelays(tables, "typical"), options);
    this.#machine = new Machine(this.#circuit, options);
  }

  /** Changes pins, lets the bus turn round, changes what the outside drives on it, and comes to rest. */
  step(pins: ReadonlyMap<string, Level>, bus: ReadonlyMap<string, Level | "Z">): void {
    this.#time += STEP;
    for (const [pin, level] of pins) this.#drive(pin, this.#time, level);
    for (const [pin, level] of bus) {
      const time = this.#time + (level === "Z" ? LETTING_GO : TURN_AROUND);
      this.#drive(pin, time, level === "Z" ? UNDRIVEN : level);
    }
    this.#simulator.run(ns(this.#time + STEP - 1));
    this.#machine.run(ns(this.#time + STEP - 1));
  }

  #drive(pin: string, time: number, value: Value): void {
    this.#simulator.drive(this.#net(pin), ns(time), value);
    this.#machine.drive(this.#net(pin), ns(time), value);
  }

  /** `0`, `1`, `x` or `z`. */
  on(pin: string): string {
    return VALUE_LETTERS[this.#simulator.valueOf(this.#net(pin))];
  }

  /** The same of the compiled simulation. */
  compiledOn(pin: string): string {
    return VALUE_LETTERS[this.#machine.valueOf(this.#net(pin))];
  }

  /** Where the compiled simulation could not tell, in words. */
  get doubts(): readonly string[] {
    return this.#machine.doubts.map(({ kind, place }) => `${kind} ${place}`);
  }

  #net(pin: string) {
    return netOf(this.#circuit, netName(pin)).id;
  }
}

/** The logic of the proof: every expression of a behaviour, compiled, with its name. */
function compiled(behaviour: Behaviour): readonly (readonly [what: string, expression: Expression, logic: Logic])[] {
  const names = [...behaviour.pins, ...behaviour.storage].map(({ name }) => name);
  const all: readonly (readonly [string, Expression | undefined])[] = [
    ...behaviour.outputs.flatMap(({ pin, value, enable }) => [
      [pin, value] as const,
      [`${pin} enable`, enable] as const,
    ]),
    ...behaviour.storage.flatMap((bit) => [
      [`${bit.name} next`, bit.next] as const,
      [`${bit.name} gate`, bit.kind === "register" ? bit.clock : bit.open] as const,
      ...bit.overrides.flatMap(({ when, value }) => [
        [`${bit.name} override`, when] as const,
        [`${bit.name} override's value`, value] as const,
      ]),
    ]),
    ...memoryPorts(behaviour).flatMap(({ read, write }) => [["read", read] as const, ["write", write] as const]),
  ];
  return all.flatMap(([what, expression]) =>
    expression ? [[what, expression, compileLogic(expression, (name) => names.indexOf(name))] as const] : [],
  );
}

/** Where the compiled logic departs from the expression: with every level known, and with some of them unknown. */
function logicDepartures(
  behaviour: Behaviour,
  logics: ReturnType<typeof compiled>,
  level: (name: string) => Level,
  random: (below: number) => number,
): readonly string[] {
  const names = [...behaviour.pins, ...behaviour.storage].map(({ name }) => name);
  const sets = names.map((name): LevelSet => (level(name) ? HIGH : LOW));
  const hidden = sets.map((set): LevelSet => (random(3) === 0 ? EITHER : set));
  return logics.flatMap(([what, expression, logic]) => {
    const value = evaluate(expression, level) ? HIGH : LOW;
    const exact = logic.possible((slot) => sets[slot] ?? EITHER);
    const loose = logic.possible((slot) => hidden[slot] ?? EITHER);
    return exact === value && (loose & value) !== 0 ? [] : [`${what}: ${value}, compiled ${exact} and ${loose}`];
  });
}

/** Plays the turns to all four and lists where they differ; what is simulated may be another part. */
function differences(
  behaviour: Behaviour,
  turns: readonly Turn[],
  logics: ReturnType<typeof compiled>,
  part: Behaviour = behaviour,
) {
  const { clocks, others } = movingPins(behaviour);
  const inOuts = pinsOf(behaviour, "in-out");
  const described = pinsOf(behaviour, "output").filter((pin) => !behaviour.undescribed.includes(pin));
  const watched = [...described, ...inOuts];
  const levels = new Map<string, Level>([...pinsOf(behaviour, "input"), ...inOuts].map((pin) => [pin, 0]));
  for (const { address } of behaviour.otherPorts ?? []) levels.set(address.at(-1) ?? "", 1);
  const direct = zeroDelayChip(behaviour, { words: contentsOf(behaviour), levels: Object.fromEntries(levels) });
  const outside = (pin: string): Level | "Z" => (direct.drives(pin) === "Z" ? (levels.get(pin) ?? 0) : "Z");
  const first = [...levels].map(([pin, level]) => [pin, inOuts.includes(pin) ? outside(pin) : level] as const);
  const simulated = new SimulatedPart(part, new Map(first));
  const random = randomNumbers(turns.length);
  const found: string[] = [];
  turns.forEach(({ isClock, place }, step) => {
    const pins = isClock ? clocks : others;
    const pin = pins[place % pins.length] ?? "";
    const level: Level = levels.get(pin) ? 0 : 1;
    levels.set(pin, level);
    direct.set({ [pin]: level });
    // What the chip drives is what it sees there.
    direct.set(Object.fromEntries(inOuts.map((one) => [one, levelOn(direct, one, levels)])));
    const bus = new Map(inOuts.map((one) => [one, outside(one)]));
    simulated.step(inOuts.includes(pin) ? new Map() : new Map([[pin, level]]), bus);
    for (const one of watched) {
      const expected = inOuts.includes(one) ? levelOn(direct, one, levels) : direct.drives(one);
      const got = simulated.on(one);
      if (got !== String(expected).toLowerCase())
        found.push(`step ${step}, ${pin}: ${one} ${expected}, simulated ${got}`);
      const worked = simulated.compiledOn(one);
      if (worked !== String(expected).toLowerCase())
        found.push(`step ${step}, ${pin}: ${one} ${expected}, compiled ${worked} ${simulated.doubts.join()}`);
    }
    const valueOf = (name: string): Level =>
      behaviour.storage.some((bit) => bit.name === name)
        ? direct.bit(name)
        : inOuts.includes(name)
          ? levelOn(direct, name, levels)
          : (levels.get(name) ?? 0);
    found.push(...logicDepartures(behaviour, logics, valueOf, random));
  });
  return found;
}

function levelOn(direct: ZeroDelayChip, pin: string, levels: ReadonlyMap<string, Level>): Level {
  const driven = direct.drives(pin);
  return driven === "Z" ? (levels.get(pin) ?? 0) : driven;
}

const turn: fc.Arbitrary<Turn> = fc.record({ isClock: fc.boolean(), place: fc.nat({ max: 99 }) });

const drawer = readFileSync(new URL("../../../examples/drawer.parts.yaml", import.meta.url), "utf8");
const drawn = readOwnParts(drawer, "drawer.parts.yaml").parts?.functions ?? new Map<string, OwnFunction>();

/** Those of the catalogue and of a builder's drawer. Oscillators are left out: their output follows no input. */
const functions = [
  ...behaviours.filter(({ clockSource }) => !clockSource),
  ...[...drawn.values()].map((own) => own.behaviour),
];

describe("the behaviour itself, the timed simulation at rest, the compiled one and the proof's compiled logic", () => {
  it.each(functions.map((one) => [one.function, one] as const))("agree on the %s", (_, behaviour) => {
    const logics = compiled(behaviour);
    fc.assert(
      fc.property(fc.array(turn, { minLength: 90, maxLength: 180 }), (turns) => {
        expect(differences(behaviour, turns, logics)).toEqual([]);
      }),
      { numRuns: behaviour.memory ? 2 : 4 },
    );
  });

  it("would differ on a part that one of them took for another", () => {
    const [nand, nor] = ["00", "02"].map((name) => behaviours.find((one) => one.function === name));
    if (!nand || !nor) throw new Error("no gates");
    const turns = [0, 1, 2, 3, 4, 5, 6, 7].map((place) => ({ isClock: false, place }));
    expect(differences(nor, turns, compiled(nor), nand)).not.toEqual([]);
  });
});
