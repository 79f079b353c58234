import {
  type Arc,
  type Change,
  type Delay,
  type Edge,
  type MemorySymbol,
  type Missing,
  type Part,
  type Requirement,
  type Source,
  arcsOf,
  isMissing,
  requirementsOf,
  sourceLine,
  timesOf,
} from "../parts/index.js";
import { inNs } from "../quantity/index.js";
import { runsOf } from "./runs.js";

/** How far a figure can be trusted. */
export type FigureMark = "assumed" | "from memory" | "derived";

/** One delay, or several pins' alike. Times in ns. */
export interface DelayLine {
  /** `CLK ↑`, `1A, 1B`. */
  readonly from: string;
  readonly to: string;
  /** `tPLH, tPHL`: the JEDEC symbols of what the output does. */
  readonly symbol: string;
  readonly min?: number;
  readonly typical?: number;
  readonly max?: number;
  readonly marks: readonly FigureMark[];
  readonly sources: readonly string[];
  /** What is missing where there is no figure. */
  readonly missing?: string;
}

/** One requirement, or one time of a memory. In ns. */
export interface RequirementLine {
  /** `set-up`, `width low`, `recovery`; of a memory the meaning of the symbol. */
  readonly kind: string;
  /** `A to D before CLK ↑`; a memory's symbol. */
  readonly of: string;
  readonly time?: number;
  /** Whether the time is the least or the most that the part needs or takes. */
  readonly limit: "least" | "most";
  readonly marks: readonly FigureMark[];
  readonly sources: readonly string[];
  readonly missing?: string;
}

/** Symbols of output changes as JEDEC standard 99 has them (from memory). */
const symbols: Readonly<Record<Change, string>> = {
  rise: "tPLH",
  fall: "tPHL",
  "z-to-high": "tPZH",
  "z-to-low": "tPZL",
  "high-to-z": "tPHZ",
  "low-to-z": "tPLZ",
};

/** Every delay of a logic part; pins and changes with the same figures from the same source share a line. */
export function delayLines({ behaviour, figures }: Part): readonly DelayLine[] {
  if (behaviour.memory) return [];
  const groups = new Map(behaviour.pins.map(({ name, group }) => [name, group]));
  const order = new Map(behaviour.pins.map(({ name }, i) => [name, i]));
  const byChange = new Collected<{
    from: Set<string>;
    to: Set<string>;
    edges: Set<string>;
    figure: Delay | Missing;
    change: Change;
  }>();
  for (const arc of arcsOf(behaviour)) {
    for (const { edge, change } of arc.moves) {
      const figure = figures.delay(arc.from, edge, arc.to, change);
      const key = [groups.get(arc.from), groups.get(arc.to), change, manner(arc), figureKey(figure)].join("|");
      const line = byChange.at(key, () => ({ from: new Set(), to: new Set(), edges: new Set(), figure, change }));
      line.from.add(arc.from);
      line.to.add(arc.to);
      line.edges.add(edge);
    }
  }
  const lines = new Collected<{ from: string; to: string; changes: Change[]; figure: Delay | Missing }>();
  const inOrder = (names: ReadonlySet<string>) =>
    runsOf([...names].sort((a, b) => (order.get(a) ?? 0) - (order.get(b) ?? 0)));
  for (const { from, to, edges, figure, change } of byChange.all) {
    const [only] = edges;
    const edge = edges.size > 1 ? "" : only === "rise" ? " ↑" : " ↓";
    const shown = isEnabling(change) || edges.size > 1 ? "" : edge;
    const texts = { from: `${inOrder(from)}${shown}`, to: inOrder(to) };
    const line = lines.at(`${texts.from}|${texts.to}|${isEnabling(change)}|${figureKey(figure)}`, () => ({
      ...texts,
      changes: [],
      figure,
    }));
    if (!line.changes.includes(change)) line.changes.push(change);
  }
  return lines.all.map(({ from, to, changes, figure }) => {
    const symbol = changes.map((change) => symbols[change]).join(", ");
    if (isMissing(figure)) return { from, to, symbol, marks: [], sources: [], missing: figure.missing };
    const { min, typical, max, minimumIs, source, minimumSource } = figure;
    return {
      from,
      to,
      symbol,
      min: inNs(min),
      typical: inNs(typical),
      max: inNs(max),
      marks: marksOf([source, ...(minimumSource ? [minimumSource] : [])], minimumIs === "assumed"),
      sources: [source, ...(minimumSource ? [minimumSource] : [])].map(sourceLine),
    };
  });
}

/** Set-up, hold, widths, recovery and period of a logic part; the times of a memory by its sheet's symbols. */
export function requirementLines(part: Part): readonly RequirementLine[] {
  const { behaviour, figures } = part;
  if (behaviour.memory) return memoryLines(part);
  const { windows, widths, recoveries, clocks } = requirementsOf(behaviour);
  const groups = new Map(behaviour.pins.map(({ name, group }) => [name, group]));
  interface Line {
    readonly kind: string;
    readonly pins: Set<string>;
    readonly references: Set<string>;
    readonly words: readonly [before: string, after: string];
    readonly figure: Requirement | Missing;
  }
  const lines = new Collected<Line>();
  const add = (kind: string, pin: string, figure: Requirement | Missing, words: Line["words"], reference?: string) => {
    const told = isMissing(figure) ? "missing" : `${figure.time} ${sourceLine(figure.source)}`;
    const key = [kind, groups.get(pin), reference && groups.get(reference), ...words, told].join("|");
    const line = lines.at(key, () => ({ kind, pins: new Set(), references: new Set(), words, figure }));
    line.pins.add(pin);
    if (reference !== undefined) line.references.add(reference);
  };
  const arrow = (edge: Edge) => (edge === "rise" ? "↑" : "↓");
  for (const { pin, reference, edge } of windows) {
    add("set-up", pin, figures.window("set-up", pin, reference), ["before", arrow(edge)], reference);
  }
  for (const { pin, reference, edge, hold } of windows) {
    if (hold) add("hold", pin, figures.window("hold", pin, reference), ["after", arrow(edge)], reference);
  }
  for (const { pin, level } of widths) add(`width ${level}`, pin, figures.width(pin, level), ["", ""]);
  for (const { pin, edge, reference, referenceEdge } of recoveries) {
    const words = [`${arrow(edge)} to`, arrow(referenceEdge)] as const;
    add("recovery", pin, figures.recovery(pin, reference), words, reference);
  }
  for (const { pin } of clocks) add("clock period", pin, figures.period(pin), ["", ""]);
  return lines.all.map(({ kind, pins, references, words: [before, after], figure }) => ({
    kind,
    of: [runsOf([...pins]), before, runsOf([...references]), after].filter((word) => word !== "").join(" "),
    limit: "least",
    ...timeOf(figure),
  }));
}

const memorySymbols: readonly (readonly [MemorySymbol, string, "least" | "most"])[] = [
  ["tRC", "read cycle", "least"],
  ["tAA", "address to data", "most"],
  ["tACE", "select to data", "most"],
  ["tOE", "output enable to data", "most"],
  ["tOH", "data kept after the address changes", "least"],
  ["tLZCE", "select to driving", "least"],
  ["tHZCE", "deselect to letting go", "most"],
  ["tLZOE", "output enable to driving", "least"],
  ["tHZOE", "output disable to letting go", "most"],
  ["tWC", "write cycle", "least"],
  ["tCW", "select to end of write", "least"],
  ["tAW", "address to end of write", "least"],
  ["tAS", "address before write begins", "least"],
  ["tWP", "write pulse", "least"],
  ["tWR", "address after write ends", "least"],
  ["tDW", "data before write ends", "least"],
  ["tDH", "data after write ends", "least"],
  ["tOW", "write ends to driving", "least"],
  ["tWHZ", "write begins to letting go", "most"],
];

function memoryLines({ behaviour, figures }: Part): readonly RequirementLine[] {
  const asked = timesOf(behaviour);
  const shown = memorySymbols.filter(([symbol]) => asked.includes(symbol));
  return shown.map(([symbol, kind, limit]) => {
    const time = timeOf(figures.memory(symbol));
    // The symbol stands in the line already; without it the times of one sheet share a source.
    const sources = time.sources.map((source) => source.replace(`, ${symbol},`, ","));
    return { kind, of: symbol, limit, ...time, sources };
  });
}

function timeOf(figure: Requirement | Missing): Pick<RequirementLine, "time" | "marks" | "sources" | "missing"> {
  if (isMissing(figure)) return { marks: [], sources: [], missing: figure.missing };
  return { time: inNs(figure.time), marks: marksOf([figure.source], false), sources: [sourceLine(figure.source)] };
}

/** What a source's remarks say about how its figure came about (see `choose-delay.ts`, `choose-requirement.ts`). */
const derivations = [
  /\btimes [\d.]+ for/,
  /ns\/pF/,
  /stage to stage/,
  /sum of the least widths/,
  /clock frequency leaves/,
  /access time taken/,
];

function marksOf(sources: readonly Source[], isAssumed: boolean): readonly FigureMark[] {
  const isDerived = sources.some(({ column = "" }) => derivations.some((pattern) => pattern.test(column)));
  return [
    ...(isAssumed ? (["assumed"] as const) : []),
    ...(sources.some(({ fromMemory }) => fromMemory) ? (["from memory"] as const) : []),
    ...(isDerived ? (["derived"] as const) : []),
  ];
}

function isEnabling(change: Change): boolean {
  return change.includes("z");
}

/** Clear and clock reach the same output in different ways, with figures of their own. */
function manner({ through }: Arc): string {
  return through === "value" || through === "enable" ? "logic" : through;
}

function figureKey(figure: Delay | Missing): string {
  if (isMissing(figure)) return "missing";
  const { min, typical, max, minimumIs, source, minimumSource } = figure;
  return [min, typical, max, minimumIs, sourceLine(source), minimumSource && sourceLine(minimumSource)].join(" ");
}

/** Records by key, in the order of their first mention. */
class Collected<T> {
  readonly #byKey = new Map<string, T>();

  at(key: string, make: () => T): T {
    const known = this.#byKey.get(key) ?? make();
    this.#byKey.set(key, known);
    return known;
  }

  get all(): readonly T[] {
    return [...this.#byKey.values()];
  }
}
