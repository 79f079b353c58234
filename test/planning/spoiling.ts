import { type Chip, type Circuit, type Net, readCircuit } from "../../src/circuit/index.js";
import { namesIn, requirementsOf, slowestArc, substitutesFor } from "../../src/parts/index.js";
import { type Edit, applyEdits } from "../../src/planning/index.js";
import { conditionsFor } from "../../src/planning/repair/gain.js";
import { findRaster } from "../../src/raster/index.js";

/** One way of spoiling a board that holds. */
export interface Spoiling {
  readonly kind: "slower part" | "edge" | "tap" | "no register" | "no dead time" | "strobe";
  readonly what: string;
  readonly text: string;
}

/** A sequence of numbers from 0 to 1 that is the same for the same seed (mulberry32). */
export function randomFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** All single changes of a kind that somebody may make by mistake, or the want of what somebody left out. */
export function spoilings(text: string): readonly Spoiling[] {
  const { circuit } = readCircuit(text, "whole.yaml", { findRaster });
  if (!circuit) throw new Error("no circuit to spoil");
  const all = new Map([...slowerParts(circuit), ...moves(circuit)].map((change) => [change.what, change]));
  return [...all.values()].flatMap(({ kind, what, edits }) => {
    const spoilt = applyEdits(text, edits);
    return spoilt === undefined || !readCircuit(spoilt, "spoilt.yaml", { findRaster }).circuit
      ? []
      : [{ kind, what, text: spoilt }];
  });
}

/** So many of them in a random order, of which every second is one of wiring. */
export function someSpoilings(text: string, seed: number): readonly Spoiling[] {
  const random = randomFrom(seed);
  const shuffled = spoilings(text)
    .map((spoiling) => ({ spoiling, at: random() }))
    .sort((a, b) => a.at - b.at)
    .map(({ spoiling }) => spoiling);
  const kinds = [...new Set(shuffled.map(({ kind }) => kind))];
  const wiring = kinds.filter((kind) => kind !== "slower part");
  // The kinds in turn, so that one with many places does not crowd out the others.
  const byKind = new Map(kinds.map((kind) => [kind, shuffled.filter((one) => one.kind === kind)]));
  const order: Spoiling[] = [];
  for (let round = 0; order.length < shuffled.length; round++) {
    const before = order.length;
    const kind = wiring[round % Math.max(1, wiring.length)];
    const next = kind === undefined ? undefined : byKind.get(kind)?.shift();
    if (next) order.push(next);
    const slower = round % 2 === 0 ? byKind.get("slower part")?.shift() : undefined;
    if (slower) order.push(slower);
    if (order.length === before && round > 10 * shuffled.length) break;
  }
  return order;
}

interface Change extends Omit<Spoiling, "text"> {
  readonly edits: readonly Edit[];
}

function slowerParts(circuit: Circuit): readonly Change[] {
  return circuit.chips.flatMap((chip) => {
    const now = slowestArc(chip.part)?.max ?? 0;
    return substitutesFor(chip.part, conditionsFor(circuit, chip))
      .filter(
        ({ part, differences }) =>
          part.behaviour === chip.part.behaviour &&
          part.package.isDual &&
          !differences.some((text) => /made for|levels/.test(text)),
      )
      .filter(({ part }) => (slowestArc(part)?.max ?? 0) > now)
      .map(({ part }): Change => ({
        kind: "slower part",
        what: `${chip.ref}: ${part.number} for ${chip.part.number}`,
        edits: [{ kind: "part", chip: chip.ref, part: part.number }],
      }));
  });
}

/** Pins moved to a net a register or a gate before or behind. */
function moves(circuit: Circuit): readonly Change[] {
  return circuit.chips.flatMap((chip) => {
    const { behaviour } = chip.part;
    const { clocks } = requirementsOf(behaviour);
    const isClock = (pin: string) => clocks.some((clock) => clock.pin === pin);
    return behaviour.pins.flatMap(({ name: pin, role }): readonly Change[] => {
      const net = chip.nets.get(pin);
      if (role !== "input" || !net || net.rail || net.input) return [];
      const isStrobe = isWriteOrLatch(chip, pin);
      const move = (kind: Spoiling["kind"], to: Net): readonly Change[] =>
        to.rail || to.id === net.id
          ? []
          : [
              {
                kind,
                what: `${chip.ref} ${pin}: ${to.name} for ${net.name}`,
                edits: [{ kind: "net", chip: chip.ref, pin, net: to.name }],
              },
            ];
      const turned = [...inverted(circuit, net)].flatMap((other) => (isClock(pin) ? move("edge", other) : []));
      const bypassed = net.drivers.flatMap((driver) =>
        registerInputs(driver.chip, driver.pin).flatMap((data) => move(isStrobe ? "strobe" : "no register", data)),
      );
      const taps = isClock(pin)
        ? []
        : net.drivers.flatMap((driver) =>
            besides(driver.chip, driver.pin).flatMap((other) => move(isStrobe ? "strobe" : "tap", other)),
          );
      const ungated = net.drivers.flatMap((driver) =>
        gateInputs(driver.chip, driver.pin).flatMap((input) => move(isStrobe ? "strobe" : "no dead time", input)),
      );
      return [...turned, ...bypassed, ...taps, ...ungated];
    });
  });
}

function isWriteOrLatch({ part: { behaviour } }: Chip, pin: string): boolean {
  const write = behaviour.memory?.write;
  const latches = behaviour.storage.flatMap((bit) => (bit.kind === "latch" ? namesIn(bit.open) : []));
  return [...(write ? namesIn(write) : []), ...latches].includes(pin);
}

/** Nets that are this one turned over by one gate, either way. */
function inverted({ chips }: Circuit, net: Net): ReadonlySet<Net> {
  const found = new Set<Net>();
  for (const { part, nets } of chips) {
    if (part.behaviour.storage.length > 0 || part.behaviour.memory) continue;
    for (const { pin, value } of part.behaviour.outputs) {
      const names = namesIn(value);
      const [input, output] = [nets.get(names[0] ?? ""), nets.get(pin)];
      if (names.length !== 1 || !input || !output) continue;
      if (input === net) found.add(output);
      if (output === net) found.add(input);
    }
  }
  return found;
}

/** What the register behind an output takes in. */
function registerInputs(chip: Chip, output: string): readonly Net[] {
  const { behaviour } = chip.part;
  const value = behaviour.outputs.find(({ pin }) => pin === output)?.value;
  const bits = value ? namesIn(value) : [];
  const own = requirementsOf(behaviour).windows.filter(
    ({ ends, storage }) => ends === "clock" && storage.some((bit) => bits.includes(bit)),
  );
  // A counter takes in what it loads; that is no flip-flop before a pin.
  return behaviour.storage.length === 0 || own.length !== 1 ? [] : own.flatMap(({ pin }) => chip.nets.get(pin) ?? []);
}

/** Other outputs of the same chip: neighbouring taps. */
function besides(chip: Chip, output: string): readonly Net[] {
  const { behaviour } = chip.part;
  if (behaviour.storage.length < 2) return [];
  return behaviour.outputs.flatMap(({ pin }) => (pin === output ? [] : (chip.nets.get(pin) ?? [])));
}

/** Inputs of the gate of several inputs behind an output. */
function gateInputs(chip: Chip, output: string): readonly Net[] {
  const { behaviour } = chip.part;
  if (behaviour.storage.length > 0 || behaviour.memory) return [];
  const value = behaviour.outputs.find(({ pin }) => pin === output);
  const names = value && !value.enable ? namesIn(value.value) : [];
  return names.length < 2 ? [] : names.flatMap((name) => chip.nets.get(name) ?? []).filter(({ rail }) => !rail);
}
