import type { Chip, Circuit, Net } from "../circuit/circuit.js";
import {
  type Edge,
  type Expression,
  type MemorySymbol,
  type Missing,
  type Requirement,
  type Storage,
  arcsOf,
  isMissing,
  memoryPorts,
  namesIn,
  requirementsOf,
} from "../parts/index.js";
import { overridden } from "./compile-tables.js";
import { type DecisionRoot, DecisionTables } from "./decision.js";
import type { Tables } from "./tables.js";

/** A gate (a clock, a latch enable, an override) whose edge ends the taking over of data, and what is then taken. */
export interface Capture {
  readonly gate: DecisionRoot;
  readonly takes: DecisionRoot;
  readonly when: Edge;
}

/** Data steady around an edge that takes them over. */
export interface WindowCheck {
  readonly chip: Chip;
  /** Variables. */
  readonly pin: number;
  readonly reference: number;
  /** The window counts where what is taken depends on the pin. */
  readonly captures: readonly Capture[];
  readonly setUp: Requirement | undefined;
  readonly hold: Requirement | undefined;
  /** The data may change at any time against the clock: what a synchroniser is for. */
  readonly asynchronous: boolean;
}

/** A level that must last, where the gate depends on the pin. */
export interface WidthCheck {
  readonly chip: Chip;
  readonly pin: number;
  readonly level: 0 | 1;
  readonly gates: readonly DecisionRoot[];
  readonly least: Requirement;
}

/** From one active edge of a clock to the next. */
export interface PeriodCheck {
  readonly chip: Chip;
  readonly pin: number;
  readonly edge: Edge;
  readonly least: Requirement;
}

/** From the end of an override to the clock's edge. */
export interface RecoveryCheck {
  readonly chip: Chip;
  readonly pin: number;
  readonly edge: Edge;
  readonly reference: number;
  readonly referenceEdge: Edge;
  /** Of each bit whether an override holds it: the check counts where the clock finds one of them free. */
  readonly held: readonly DecisionRoot[];
  readonly least: Requirement;
}

/** The times of one memory's writes. */
export interface WriteCheck {
  readonly chip: Chip;
  readonly write: DecisionRoot;
  readonly control: readonly number[];
  readonly address: readonly number[];
  readonly data: readonly number[];
  readonly times: Partial<Record<MemorySymbol, Requirement>>;
}

/** All that is to be watched in a circuit. */
export interface WatchPlan {
  readonly windows: readonly WindowCheck[];
  readonly widths: readonly WidthCheck[];
  readonly periods: readonly PeriodCheck[];
  readonly recoveries: readonly RecoveryCheck[];
  readonly writes: readonly WriteCheck[];
  readonly decisionVariable: Int32Array;
  readonly decisionNext: Int32Array;
  /** Requirements without a figure: they are not watched. */
  readonly missing: readonly string[];
}

const WRITE_TIMES: readonly MemorySymbol[] = ["tAS", "tAW", "tDW", "tDH", "tWR"];

/** Lists what every chip asks of its inputs, or every one of `chips`, with the figures that hold. */
export function planWatch(circuit: Circuit, tables: Tables, chips?: ReadonlySet<Chip>): WatchPlan {
  const decisions = new DecisionTables();
  const missing = new Set<string>();
  const known = (figure: Requirement | Missing): Requirement | undefined => {
    if (!isMissing(figure)) return figure;
    missing.add(figure.missing);
    return undefined;
  };
  const free = freeNets(circuit);
  const plan = circuit.chips
    .filter((chip) => chips?.has(chip) ?? true)
    .map((chip) => planChip(chip, tables, decisions, known, free));
  return {
    windows: plan.flatMap((one) => one.windows),
    widths: plan.flatMap((one) => one.widths),
    periods: plan.flatMap((one) => one.periods),
    recoveries: plan.flatMap((one) => one.recoveries),
    writes: plan.flatMap((one) => one.writes),
    decisionVariable: Int32Array.from(decisions.variable),
    decisionNext: Int32Array.from(decisions.next),
    missing: [...missing],
  };
}

function planChip(
  chip: Chip,
  tables: Tables,
  decisions: DecisionTables,
  known: (figure: Requirement | Missing) => Requirement | undefined,
  free: ReadonlySet<Net>,
) {
  const { behaviour, figures } = chip.part;
  const asked = requirementsOf(behaviour);
  const variableOf = (name: string) => tables.variableOf(chip, name) ?? -1;
  const add = (expression: Expression) => decisions.add(expression, variableOf);
  const bits = new Map(behaviour.storage.map((bit) => [bit.name, bit]));
  // A pin that is open, or on a rail, never changes.
  const moves = (name: string) => {
    const net = chip.nets.get(name);
    return net !== undefined && !net.rail;
  };
  const isFree = (name: string) => free.has(chip.nets.get(name) ?? ({} as Net));

  const windows = asked.windows
    .filter(({ pin, reference }) => moves(pin) && moves(reference))
    .map(({ pin, reference, ends, hold, storage }): WindowCheck => {
      const captures = storage.flatMap((name) => capturesOf(bits.get(name), ends, add));
      return {
        chip,
        pin: variableOf(pin),
        reference: variableOf(reference),
        captures,
        setUp: known(figures.window("set-up", pin, reference)),
        hold: hold ? known(figures.window("hold", pin, reference)) : undefined,
        asynchronous: isFree(pin) && !isFree(reference),
      };
    });

  const widths = asked.widths
    .filter(({ pin }) => moves(pin))
    .flatMap(({ pin, level, of }): readonly WidthCheck[] => {
      const least = known(figures.width(pin, level));
      if (!least) return [];
      const gates =
        of === "write strobe"
          ? memoryPorts(behaviour).flatMap(({ write }) => (write && namesIn(write).includes(pin) ? [add(write)] : []))
          : behaviour.storage.flatMap((bit) => gatesOf(bit).map(add));
      return [{ chip, pin: variableOf(pin), level: level === "high" ? 1 : 0, gates, least }];
    });

  const periods = asked.clocks
    .filter(({ pin }) => moves(pin))
    .flatMap(({ pin, edge }): readonly PeriodCheck[] => {
      const least = known(figures.period(pin));
      return least ? [{ chip, pin: variableOf(pin), edge, least }] : [];
    });

  const recoveries = asked.recoveries
    .filter(({ pin, reference }) => moves(pin) && moves(reference))
    .flatMap(({ pin, edge, reference, referenceEdge, storage }): readonly RecoveryCheck[] => {
      const least = known(figures.recovery(pin, reference));
      if (!least) return [];
      const held = storage.map((name) => add(anyActive(bits.get(name)?.overrides ?? [])));
      return [{ chip, pin: variableOf(pin), edge, reference: variableOf(reference), referenceEdge, held, least }];
    });

  const writes = memoryPorts(behaviour).flatMap((memory): readonly WriteCheck[] => {
    if (!memory.write) return [];
    const write = add(memory.write);
    const times = WRITE_TIMES.flatMap((symbol) => {
      const figure = known(figures.memory(symbol));
      return figure ? [[symbol, figure] as const] : [];
    });
    return [
      {
        chip,
        write,
        control: [...decisions.variablesOf(write)],
        address: memory.address.map(variableOf),
        data: memory.data.map(variableOf),
        times: Object.fromEntries(times),
      },
    ];
  });
  return { windows, widths, periods, recoveries, writes };
}

function capturesOf(
  bit: Storage | undefined,
  ends: "clock" | "latch" | "override",
  add: (expression: Expression) => DecisionRoot,
): readonly Capture[] {
  if (!bit) return [];
  if (ends === "override") {
    return bit.overrides.map(({ when, value }) => ({ gate: add(when), takes: add(value), when: "fall" }));
  }
  const takes = add(overridden(bit, bit.next));
  if (bit.kind === "register") return [{ gate: add(bit.clock), takes, when: "rise" }];
  return [{ gate: add(bit.open), takes, when: "fall" }];
}

function anyActive(overrides: Storage["overrides"]): Expression {
  const none: Expression = { kind: "constant", value: 0 };
  return overrides.reduce<Expression>((left, { when }) => ({ kind: "or", left, right: when }), none);
}

function gatesOf(bit: Storage): readonly Expression[] {
  return [bit.kind === "register" ? bit.clock : bit.open, ...bit.overrides.map(({ when }) => when)];
}

/**
 * Nets that may change at any time: inputs declared so, and outputs that such nets clock or reach through gates. A register
 * that an oscillator clocks ends it; so does a net that several share, whose users take turns.
 */
function freeNets({ chips, inputs, nets }: Circuit): ReadonlySet<Net> {
  const free = new Set(
    inputs.flatMap(({ net, timing }) =>
      timing.kind === "any time" ? [nets[net]].filter((one) => one !== undefined) : [],
    ),
  );
  for (let size = -1; size !== free.size;) {
    size = free.size;
    for (const chip of chips) {
      for (const { from, to } of arcsOf(chip.part.behaviour)) {
        const [source, sink] = [chip.nets.get(from), chip.nets.get(to)];
        if (source && sink?.drivers.length === 1 && free.has(source)) free.add(sink);
      }
    }
  }
  return free;
}
