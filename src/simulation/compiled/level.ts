import { type Expression, namesIn } from "../../parts/index.js";
import { DecisionTables, FIRST_NODE } from "../decision.js";
import { HIGH, LOW } from "../value.js";
import { type Bit, type BitGraph, FALSE, TRUE } from "./bit-graph.js";

/** A signal's level as two bits of a graph: the level, and whether it is known. Where it is not, `value` is anything. */
export interface Level {
  readonly value: Bit;
  readonly known: Bit;
}

export const ZERO: Level = { value: FALSE, known: TRUE };
export const ONE: Level = { value: TRUE, known: TRUE };
export const UNKNOWN_LEVEL: Level = { value: FALSE, known: FALSE };

/** A level that is always known. */
export function sure(value: Bit): Level {
  return { value, known: TRUE };
}

/**
 * Logic of levels that may be unknown. An answer is unknown only if it hangs on what is unknown; two unknowns count as
 * independent. This is the rule of the timed simulation, on bits that are not values yet but nodes of a graph.
 */
export class Levels {
  readonly graph: BitGraph;

  constructor(graph: BitGraph) {
    this.graph = graph;
  }

  not({ value, known }: Level): Level {
    return { value: this.graph.not(value), known };
  }

  and(x: Level, y: Level): Level {
    const { graph } = this;
    const value = graph.and(x.value, y.value);
    if (x.known === TRUE && y.known === TRUE) return sure(value);
    const isLow = (level: Level) => graph.and(level.known, graph.not(level.value));
    return { value, known: graph.any([graph.and(x.known, y.known), isLow(x), isLow(y)]) };
  }

  or(x: Level, y: Level): Level {
    return this.not(this.and(this.not(x), this.not(y)));
  }

  choose(when: Level, then: Level, otherwise: Level): Level {
    const { graph } = this;
    const value = graph.choose(when.value, then.value, otherwise.value);
    if (when.known === TRUE) return { value, known: graph.choose(when.value, then.known, otherwise.known) };
    const agree = graph.and(graph.and(then.known, otherwise.known), graph.not(graph.xor(then.value, otherwise.value)));
    return { value, known: graph.choose(when.known, graph.choose(when.value, then.known, otherwise.known), agree) };
  }

  /** True where the two are not surely the same. */
  mayDiffer(x: Level, y: Level): Bit {
    const { graph } = this;
    if (x.value === y.value && x.known === y.known) return FALSE;
    return graph.any([graph.xor(x.value, y.value), graph.not(x.known), graph.not(y.known)]);
  }

  /** True where the first is known and the other is not surely the same. */
  departs(from: Level, other: Level): Bit {
    return this.graph.and(from.known, this.mayDiffer(from, other));
  }

  /** True where the level may be high. */
  mayBeHigh({ value, known }: Level): Bit {
    return this.graph.or(value, this.graph.not(known));
  }

  mayBeLow({ value, known }: Level): Bit {
    return this.graph.not(this.graph.and(value, known));
  }

  isHigh({ value, known }: Level): Bit {
    return this.graph.and(value, known);
  }

  /** The level of an expression whose names have these levels. */
  evaluate(expression: Expression, levelOf: (name: string) => Level): Level {
    const levels = namesOf(expression).map(levelOf);
    if (levels.every(({ known }) => known === TRUE)) return sure(this.plainly(expression, levelOf));
    const diagram = diagramOf(expression);
    const { variable, next } = diagram.tables;
    const made = new Map<number, Level>();
    const levelAt = (node: number): Level => {
      if (node < FIRST_NODE) return node === HIGH ? ONE : ZERO;
      const known = made.get(node);
      if (known) return known;
      const [low, high] = [levelAt(next[4 * node + LOW] ?? 0), levelAt(next[4 * node + HIGH] ?? 0)];
      const level = this.choose(levels[variable[node] ?? 0] ?? UNKNOWN_LEVEL, high, low);
      made.set(node, level);
      return level;
    };
    return levelAt(diagram.root);
  }

  private plainly(expression: Expression, levelOf: (name: string) => Level): Bit {
    const { graph } = this;
    const visit = (e: Expression): Bit => {
      switch (e.kind) {
        case "constant":
          return e.value ? TRUE : FALSE;
        case "name":
          return levelOf(e.name).value;
        case "not":
          return graph.not(visit(e.of));
        case "and":
          return graph.and(visit(e.left), visit(e.right));
        case "or":
          return graph.or(visit(e.left), visit(e.right));
        case "xor":
          return graph.xor(visit(e.left), visit(e.right));
        case "choose":
          return graph.choose(visit(e.when), visit(e.then), visit(e.otherwise));
      }
    };
    return visit(expression);
  }
}

interface Diagram {
  readonly tables: DecisionTables;
  readonly root: number;
}

const names = new WeakMap<Expression, readonly string[]>();

/** As `namesIn`, looked up where an expression is asked about again. */
export function namesOf(expression: Expression): readonly string[] {
  const known = names.get(expression);
  if (known) return known;
  const found = namesIn(expression);
  names.set(expression, found);
  return found;
}

const diagrams = new WeakMap<Expression, Diagram>();

function diagramOf(expression: Expression): Diagram {
  const known = diagrams.get(expression);
  if (known) return known;
  const tables = new DecisionTables();
  const names = namesOf(expression);
  const diagram = { tables, root: tables.add(expression, (name) => names.indexOf(name)) };
  diagrams.set(expression, diagram);
  return diagram;
}
