import { ns } from "../quantity/index.js";
import { type Behaviour, memoryPorts } from "./behaviour.js";
import { type Conditions, TYPICAL_OVER_MAXIMUM, describeConditions } from "./conditions.js";
import {
  type Change,
  type Delay,
  type Figures,
  type MemorySymbol,
  type Missing,
  type Requirement,
  type Source,
  isMissing,
} from "./figures.js";
import type { MemoryRow } from "./memory-rows.js";
import { remembered } from "./remembered.js";

/** Times of which the longest is the safe one; of the others, which the memory itself guarantees, the shortest is. */
const guaranteedMinima: ReadonlySet<MemorySymbol> = new Set(["tOH", "tLZCE", "tLZOE", "tOW"]);

interface Chosen {
  /** In ns. */
  readonly value: number;
  readonly source: Source;
}

/** What a memory's control pin is for, by how its name begins; undefined of other pins. */
export function memoryControlOf(pin: string): "select" | "output enable" | "write enable" | undefined {
  if (/^C[ES]/.test(pin)) return "select";
  return pin.startsWith("OE") ? "output enable" : pin.startsWith("WE") ? "write enable" : undefined;
}

/**
 * The figures of a memory under the circuit's conditions: of the given rows, the worst value of each time. Release may
 * begin at once, so its minimum is 0; so is that of driving where a sheet prints none.
 */
export function memoryFigures(
  number: string,
  behaviour: Behaviour,
  candidates: readonly MemoryRow[],
  conditions: Conditions,
): Figures {
  const rows = servingRows(candidates, conditions);
  const missing = (what: string): Missing => ({
    missing: `${number} ${what}, ${describeConditions(conditions)}${rows.length === 0 ? ", outside the sheet's supply or ambient range" : ""}`,
  });

  const choose = remembered((symbol: MemorySymbol): Chosen | undefined => {
    const shortest = guaranteedMinima.has(symbol);
    const found = rows.flatMap(({ row, remark }) => {
      const value = row.times[symbol] ?? (symbol === "tRC" ? row.times.tAA : undefined);
      if (value === undefined) return [];
      const instead = row.times[symbol] === undefined ? "no cycle time printed, access time taken" : undefined;
      return [{ value, source: sourceOf(row, [symbol, `${row.grade} ns grade`, row.testLoad, instead, remark]) }];
    });
    const [first, ...rest] = found;
    return first && rest.reduce((a, b) => ((shortest ? b.value < a.value : b.value > a.value) ? b : a), first);
  });

  const arc = (what: string, least: MemorySymbol | 0, greatest: MemorySymbol): Delay | Missing => {
    const max = choose(greatest);
    if (max === undefined) return missing(`${what} (${greatest})`);
    const min = least === 0 ? undefined : choose(least);
    const minimum = Math.min(min?.value ?? 0, max.value);
    return {
      min: ns(minimum),
      typical: ns(Math.max(minimum, TYPICAL_OVER_MAXIMUM * max.value)),
      max: ns(max.value),
      minimumIs: min ? "stated" : "assumed",
      source: max.source,
      ...(min && { minimumSource: min.source }),
    };
  };

  const ports = memoryPorts(behaviour);
  const delay = (from: string, to: string, change: Change): Delay | Missing => {
    const what = `${from} to ${to}`;
    const releases = change.endsWith("-to-z");
    const port = ports.find(({ data }) => data.includes(to));
    if (!port) return missing(what);
    if (port.address.includes(from)) return releases ? missing(what) : arc(what, "tOH", "tAA");
    switch (memoryControlOf(from)) {
      case "select":
        return releases ? arc(what, 0, "tHZCE") : arc(what, "tLZCE", "tACE");
      case "output enable":
        return releases ? arc(what, 0, "tHZOE") : arc(what, "tLZOE", "tOE");
      case "write enable":
        return releases ? arc(what, 0, "tWHZ") : arc(what, "tOW", "tAA");
      case undefined:
        return missing(what);
    }
  };

  const memory = (symbol: MemorySymbol): Requirement | Missing => {
    const chosen = choose(symbol);
    if (chosen === undefined) return missing(symbol);
    return { kind: "memory", symbol, time: ns(chosen.value), source: chosen.source };
  };

  /** Write enable and select are strobes: the least time at which either writes. */
  const width = (pin: string, level: "high" | "low"): Requirement | Missing => {
    const active = pin.endsWith("#") ? "low" : "high";
    const control = memoryControlOf(pin);
    const strobe = control === "write enable" ? memory("tWP") : control === "select" ? memory("tCW") : undefined;
    if (strobe === undefined || level !== active) return missing(`${pin} ${level} width`);
    return isMissing(strobe) ? strobe : { ...strobe, kind: `width ${level}` };
  };

  return {
    delay: (from, _fromEdge, to, change) => delay(from, to, change),
    window: (kind, pin, reference) => missing(`${kind} of ${pin} at ${reference}`),
    width,
    recovery: (pin, reference) => missing(`recovery of ${pin} to ${reference}`),
    period: (pin) => missing(`${pin} clock period`),
    memory,
  };
}

/** The figures of a part that has none: an oscillator can, whose output follows nothing. */
export function noFigures(number: string): Figures {
  const missing = (what: string): Missing => ({ missing: `${number} ${what}` });
  return {
    delay: (from, _edge, to) => missing(`${from} to ${to}`),
    window: (kind, pin, reference) => missing(`${kind} of ${pin} at ${reference}`),
    width: (pin, level) => missing(`${pin} ${level} width`),
    recovery: (pin, reference) => missing(`recovery of ${pin} to ${reference}`),
    period: (pin) => missing(`${pin} clock period`),
    memory: (symbol) => missing(symbol),
  };
}

/** Rows whose supply and ambient cover the circuit's; read ones rather than recalled ones. A narrower supply is taken with a remark. */
function servingRows(candidates: readonly MemoryRow[], { supplyVolts, ambientCelsius }: Conditions) {
  const warm = candidates.filter(({ ambient: [from, to] }) => from <= ambientCelsius.min && ambientCelsius.max <= to);
  const covering = warm.filter(({ supply: [from, to] }) => from <= supplyVolts.min && supplyVolts.max <= to);
  const overlapping = warm.filter(({ supply: [from, to] }) => from <= supplyVolts.max && supplyVolts.min <= to);
  const usable = covering.length > 0 ? covering : overlapping;
  const read = usable.filter((row) => !row.fromMemory);
  return (read.length > 0 ? read : usable).map((row) => ({
    row,
    remark:
      covering.length > 0
        ? undefined
        : `sheet states ${row.supply.join(" to ")} V, used at ${supplyVolts.min} to ${supplyVolts.max} V`,
  }));
}

function sourceOf(row: MemoryRow, column: readonly (string | undefined)[]): Source {
  return {
    ...row.source,
    fromMemory: row.fromMemory,
    column: [row.part, ...column].filter((text) => text !== undefined).join(", "),
  };
}
