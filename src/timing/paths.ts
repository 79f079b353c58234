import type { DelayVariable } from "./delay-variable.js";
import { IntTable } from "./int-table.js";
import { MOST_TURNS, Unending } from "./unending.js";
import type { Root } from "./roots.js";

/** Index of a path: a root followed by the delays of a chain of arcs and wires. */
export type PathId = number;

export interface Path {
  readonly root: Root;
  readonly parent: PathId;
  readonly variable: number;
  readonly min: number;
  readonly typical: number;
  readonly max: number;
  readonly length: number;
  /** The path up to the first private variable, and the sums of what follows. */
  readonly trunk: PathId;
  readonly tailMin: number;
  readonly tailMax: number;
  /** Whether the last step is an output that begins or gives up driving. */
  readonly handsOver: HandOver | undefined;
}

/** An output begins to drive, or lets go. */
export type HandOver = "takes" | "releases";

function handOverOf({ change }: Omit<DelayVariable, "id">): HandOver | undefined {
  if (!change?.includes("z")) return undefined;
  return change.startsWith("z") ? "takes" : "releases";
}

/** Shorter paths do not go round too often. */
const LONG = 2 * MOST_TURNS;

/** Every chain of delays that a time is the sum of, each once, and the delays themselves. */
export class Paths {
  readonly variables: DelayVariable[] = [];
  readonly #paths: Path[] = [];
  readonly #extended = new IntTable();
  readonly #roots = new Map<Root, PathId>();

  /** Adds a variable and gives it its number. */
  variable(variable: Omit<DelayVariable, "id">): DelayVariable {
    const numbered = { ...variable, id: this.variables.length };
    this.variables.push(numbered);
    return numbered;
  }

  /** The path that is the root alone. */
  root(root: Root): PathId {
    const known = this.#roots.get(root);
    if (known !== undefined) return known;
    const id =
      this.#paths.push({
        root,
        parent: -1,
        variable: -1,
        min: 0,
        typical: 0,
        max: 0,
        length: 0,
        trunk: this.#paths.length,
        tailMin: 0,
        tailMax: 0,
        handsOver: undefined,
      }) - 1;
    this.#roots.set(root, id);
    return id;
  }

  /**
   * The path one variable longer.
   *
   * @throws Unending where it then goes round and round
   */
  extend(path: PathId, variable: DelayVariable): PathId {
    const known = this.#extended.get(path, variable.id);
    if (known >= 0) return known;
    const from = this.at(path);
    if (from.length >= LONG && variable.kind === "arc" && this.#turns(path, variable) >= MOST_TURNS) {
      throw new Unending(variable, path);
    }
    const id =
      this.#paths.push({
        root: from.root,
        parent: path,
        variable: variable.id,
        min: from.min + variable.min,
        typical: from.typical + variable.typical,
        max: from.max + variable.max,
        length: from.length + 1,
        trunk: variable.isPrivate ? from.trunk : this.#paths.length,
        tailMin: variable.isPrivate ? from.tailMin + variable.min : 0,
        tailMax: variable.isPrivate ? from.tailMax + variable.max : 0,
        handsOver: handOverOf(variable),
      }) - 1;
    this.#extended.add(path, variable.id, id);
    return id;
  }

  /** How often a path leads through the output of an arc. */
  #turns(path: PathId, { chip, to }: DelayVariable): number {
    let turns = 0;
    for (let at = this.at(path); at.parent >= 0; at = this.at(at.parent)) {
      const one = this.variables[at.variable];
      if (one?.kind === "arc" && one.chip === chip && one.to === to) turns++;
    }
    return turns;
  }

  /** The path of the first `depth` variables. */
  beginning(path: PathId, depth: number): PathId {
    let id = path;
    for (let at = this.at(id); at.length > depth; at = this.at(id)) id = at.parent;
    return id;
  }

  /** The variable that ends a path; undefined for a root alone. */
  last(path: PathId): DelayVariable | undefined {
    return this.variables[this.at(path).variable];
  }

  /** The variables of a path from its root onwards. */
  chain(path: PathId): readonly DelayVariable[] {
    const chain: DelayVariable[] = [];
    for (let at = this.at(path); at.parent >= 0; at = this.at(at.parent)) {
      const variable = this.variables[at.variable];
      if (variable) chain.unshift(variable);
    }
    return chain;
  }

  at(id: PathId): Path {
    const path = this.#paths[id];
    if (!path) throw new RangeError(`no such path: ${id}`);
    return path;
  }
}
