import { type Conditions, type Part, type PartProblem, type Pin, isPartProblem } from "../parts/index.js";
import type { Supply } from "./circuit.js";
import * as say from "./messages.js";
import { type GrowingChip, NetTable } from "./nets.js";
import { OPEN, checkRef } from "./names.js";
import type { PlacedName } from "./net-names.js";
import type { WrittenPin } from "./pairs.js";
import type { Span } from "./problem.js";
import type { Report } from "./report.js";

/** A chip as the file writes it. */
export interface WrittenChip {
  readonly ref: string;
  readonly at: Span;
  /** Absent where the file does not say, which is reported elsewhere. */
  readonly part?: string;
  readonly partAt: Span;
  readonly note: string;
  readonly pins: readonly WrittenPin[];
  /** Nets that the file names for pins which it does not name right. */
  readonly strayNets: readonly PlacedName[];
  /** False where some of the pins could not be read: then none is reported as not given. */
  readonly isComplete: boolean;
}

/** The catalogue: a part with the figures that hold under these conditions, or why there is none. */
export type FindPart = (number: string, conditions: Conditions) => Part | PartProblem;

export interface Wiring {
  readonly chips: readonly GrowingChip[];
  readonly nets: NetTable;
  /** Where the net of a pin is written, by `pinKey`. */
  readonly pinSpans: ReadonlyMap<string, Span>;
}

/** A longer text is no part number. */
const LONGEST_NUMBER = 64;

/** How many unknown part numbers are looked for before the rest is not. */
const MOST_UNKNOWN_PARTS = 100;

export function pinKey(ref: string, pin: string): string {
  return `${ref} ${pin}`;
}

/** Puts chips on nets: finds each part, each pin, and complains of what is unknown, missing or given twice. */
export function wireChips(
  written: readonly WrittenChip[],
  supplies: readonly [Supply, ...Supply[]],
  conditions: Conditions,
  findPart: FindPart,
  report: Report,
): Wiring {
  const nets = new NetTable(supplies.slice(1), report);
  const pinSpans = new Map<string, Span>();
  const chips: GrowingChip[] = [];
  let unknownParts = 0;
  const parts = new Map<string, Part | PartProblem>();
  const find = (number: string, supply: Supply) => {
    const key = `${number} ${supply.name}`;
    const known = parts.get(key);
    if (known) return known;
    // Each unknown number is compared with the whole catalogue; a file with so many is no circuit.
    const found: Part | PartProblem =
      unknownParts < MOST_UNKNOWN_PARTS && number.length <= LONGEST_NUMBER
        ? findPart(number, { ...conditions, supplyVolts: supply.volts })
        : { problem: say.partNotSought(number), suggestions: [] };
    if (isPartProblem(found)) unknownParts++;
    parts.set(key, found);
    return found;
  };
  for (const chip of written) {
    const wrongRef = checkRef(chip.ref);
    if (wrongRef) report.add(chip.at, wrongRef);
    const wired = wireChip(chip);
    if (wired) chips.push(wired);
  }
  return { chips, nets, pinSpans };

  function wireChip(chip: WrittenChip): GrowingChip | undefined {
    for (const { name, span } of chip.strayNets) doubt(name, span);
    const part = chip.part === undefined ? undefined : find(chip.part, supplies[0]);
    if (part === undefined || isPartProblem(part)) {
      if (part !== undefined) report.add(chip.partAt, say.unknownPart(part.problem, part.suggestions, part.expected));
      for (const { net, netAt } of chip.pins) doubt(net, netAt);
      return undefined;
    }
    const supply = supplyOf(chip, part);
    const wired: GrowingChip = {
      ref: chip.ref,
      part: supply === supplies[0] ? part : ownSupply(part, supply),
      note: chip.note,
      supply,
      nets: new Map(),
      open: new Set(),
    };
    let isComplete = chip.isComplete;
    const given = new Map<string, Span>();
    const pins = chip.pins.map((pin) => ({ ...pin, found: findPin(pin.pin, part) }));
    const named = new Set(pins.flatMap(({ found }) => found?.name ?? []));
    for (const pin of pins) {
      if (!pin.found) {
        isComplete = false;
        doubt(pin.net, pin.netAt);
        complainOfPin(pin, part, named);
        continue;
      }
      const { name } = pin.found;
      const before = given.get(name);
      if (before) {
        report.add(pin.at, say.pinTwice(chip.ref, name, report.place(before).line));
        continue;
      }
      given.set(name, pin.at);
      pinSpans.set(pinKey(chip.ref, name), pin.at);
      connect(wired, pin.found, pin);
    }
    const missing = part.behaviour.pins.filter(({ name, role }) => !given.has(name) && isSignal(role));
    if (isComplete && missing.length > 0) {
      report.add(
        chip.at,
        say.missingPins(
          chip.ref,
          part.number,
          missing.map(({ name }) => name),
        ),
      );
    }
    return wired;
  }

  function connect(chip: GrowingChip, pin: Pin, written: WrittenPin): void {
    if (written.net === OPEN) {
      const floats = pin.role === "input" && !chip.part.behaviour.clockSource;
      if (floats) report.add(written.at, say.openInput(chip.ref, pin.name));
      if (isSignal(pin.role)) chip.open.add(pin.name);
      else if (pin.role !== "unconnected") {
        report.add(written.netAt, say.supplyPin(chip.ref, pin.name, OPEN, pin.role === "ground" ? "low" : "high"));
      }
      return;
    }
    const net = nets.wire(written.net, written.netAt);
    if (!net) return;
    if (pin.role === "unconnected") report.add(written.netAt, say.notConnectedPin(chip.ref, pin.name));
    else if (pin.role === "supply" || pin.role === "ground") {
      const rail = pin.role === "supply" ? "high" : "low";
      if (net.rail !== rail) report.add(written.netAt, say.supplyPin(chip.ref, pin.name, net.name, rail));
    } else {
      const ref = { chip, pin: pin.name };
      chip.nets.set(pin.name, net);
      if (pin.role !== "input") net.drivers.push(ref);
      if (pin.role !== "output") net.receivers.push(ref);
    }
  }

  function doubt(net: string, at: Span): void {
    if (net === OPEN) return;
    const found = nets.wire(net, at);
    if (found) nets.doubtful.add(found.name);
  }

  function complainOfPin(pin: WrittenPin, part: Part, named: ReadonlySet<string>): void {
    if (report.isFull) return;
    // Pins that the chip does not name elsewhere come first, so that among equally near names the free one is offered.
    const pins = part.behaviour.pins.filter(({ role }) => role !== "unconnected").map(({ name }) => name);
    const free = pins.filter((name) => !named.has(name));
    const aliases = Object.entries(part.behaviour.aliases).filter(([, target]) => pins.includes(target));
    const near = report.suggest(pin.pin, () => [...free, ...pins, ...aliases.map(([alias]) => alias)]);
    const suggestion = near === undefined ? undefined : (findPin(near, part)?.name ?? near);
    report.add(pin.at, say.unknownPin(pin.pin, part.number, pins, suggestion));
  }

  function supplyOf(chip: WrittenChip, part: Part): Supply {
    const atSupplyPin = chip.pins.find(({ pin }) => findPin(pin, part)?.role === "supply");
    return supplies.find(({ name }) => name === atSupplyPin?.net) ?? supplies[0];
  }

  function ownSupply(part: Part, supply: Supply): Part {
    const other = find(part.number, supply);
    return isPartProblem(other) ? part : other;
  }
}

/** Pins by the project's name, a maker's name, or the number on the package. */
export function findPin(written: string, part: Part): Pin | undefined {
  const { pins, aliases } = part.behaviour;
  const byName = (name: string) => pins.find((pin) => pin.name === name);
  const direct = byName(written);
  if (direct) return direct;
  const alias = Object.hasOwn(aliases, written) ? aliases[written] : undefined;
  if (alias !== undefined) return byName(alias);
  if (!/^\d{1,3}$/.test(written)) return undefined;
  const numbered = part.package.pins.find(({ number }) => number === Number(written));
  return numbered && byName(numbered.name);
}

function isSignal(role: Pin["role"]): boolean {
  return role === "input" || role === "output" || role === "in-out";
}
