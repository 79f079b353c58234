import type { DumpDeclarations, DumpVariable, VariableName } from "./dump.js";

/** Types of variables whose values are bits, of IEEE 1364-2001. */
const BIT_TYPES: ReadonlySet<string> = new Set(
  "integer parameter reg supply0 supply1 time tri triand trior trireg tri0 tri1 wand wire wor".split(" "),
);
/** Types whose values are left out; `string` is not of the standard but seen. */
const OTHER_TYPES: ReadonlyMap<string, string> = new Map([
  ["real", "numbers with a fraction"],
  ["realtime", "numbers with a fraction"],
  ["event", "events"],
  ["string", "texts"],
]);
const SCOPE_TYPES: ReadonlySet<string> = new Set(["begin", "fork", "function", "module", "task"]);

/** No wider variable is read. Our own choice. */
const MOST_BITS = 65_536;
/** No more variables are read: each takes memory before a single value is known. Our own choice. */
const MOST_VARIABLES = 1_000_000;
/** Scopes may lie this deep. Our own choice. */
const DEEPEST = 100;

interface GrowingVariable extends DumpVariable {
  readonly names: VariableName[];
}

/** Takes the declarations of a dump one by one. */
export class Declarations {
  /** Of a longer command only so many words matter. */
  readonly mostWords = 64;
  private readonly note: (remark: { readonly what: string }) => void;
  private readonly noted = new Set<string>();
  private readonly variables = new Map<string, GrowingVariable>();
  /** The open scopes; never changed, since variables share it. */
  private scopes: readonly string[] = [];
  private unitFs: number | undefined;
  private date: string | undefined;
  private version: string | undefined;

  constructor(note: (remark: { readonly what: string }) => void) {
    this.note = note;
  }

  /** Takes a command with the words between its keyword and `$end`; says what is wrong if anything is. */
  take(keyword: string, words: readonly string[], count: number): string | undefined {
    switch (keyword) {
      case "$date":
        this.date = words.join(" ");
        return undefined;
      case "$version":
        this.version = words.join(" ");
        return undefined;
      case "$timescale":
        return this.takeTimescale(words);
      case "$scope":
        return this.takeScope(words);
      case "$upscope":
        if (count > 0) return "$upscope has nothing to say";
        if (this.scopes.length === 0) return "$upscope leaves a scope where none is open";
        this.scopes = this.scopes.slice(0, -1);
        return undefined;
      case "$var":
        return this.takeVariable(words, count);
      default:
        return count > 0 ? `${keyword} has nothing to say` : undefined;
    }
  }

  /** Everything, once all is declared; or what is missing. */
  finish(): DumpDeclarations | string {
    const { unitFs, date, version } = this;
    if (unitFs === undefined) return "no $timescale says how long a unit of time is";
    if (this.scopes.length > 0) this.note({ what: `the scope ${this.scopes.at(-1)} is not closed by $upscope` });
    return {
      unitFs,
      variables: [...this.variables.values()],
      ...(date !== undefined && { date }),
      ...(version !== undefined && { version }),
    };
  }

  private takeTimescale(words: readonly string[]): string | undefined {
    const [, number = "", unit = ""] = /^(1|10|100) ?(s|ms|us|ns|ps|fs)$/.exec(words.join(" ")) ?? [];
    if (unit === "") return "$timescale is 1, 10 or 100 and s, ms, us, ns, ps or fs, such as 10 ns";
    if (this.unitFs !== undefined) return "$timescale is given twice";
    this.unitFs = Number(number) * 1000 ** ["fs", "ps", "ns", "us", "ms", "s"].indexOf(unit);
    return undefined;
  }

  private takeScope([type, ...name]: readonly string[]): string | undefined {
    if (type === undefined || name.length === 0) return "$scope has a kind and a name, such as module board";
    const lost = name.slice(1).find((word) => word.startsWith("$"));
    if (lost !== undefined) return `$scope is not closed by $end before ${lost}`;
    if (name.length > 1)
      this.noteOnce("scopes whose names have spaces, such as " + name.join(" ") + ", are not of the standard");
    if (!SCOPE_TYPES.has(type))
      this.noteOnce(`scopes of the kind ${type} are not of the standard and are read as others`);
    if (this.scopes.length >= DEEPEST) return `scopes lie more than ${DEEPEST} deep`;
    this.scopes = [...this.scopes, name.join(" ")];
    return undefined;
  }

  private takeVariable([type, size, code, ...reference]: readonly string[], count: number): string | undefined {
    if (type === undefined || size === undefined || code === undefined || reference.length === 0) {
      return "$var has a type, a size, a code and a name, such as wire 8 ! DATA";
    }
    if (count > this.mostWords) return "$var has too many words";
    if (!/^[!-~]+$/.test(code)) return "the code of a $var has other characters than ! to ~";
    const left = OTHER_TYPES.get(type);
    if (left === undefined && !BIT_TYPES.has(type)) {
      this.noteOnce(`variables of the type ${type} are not of the standard and are read as bits`);
    }
    const bits = /^\d{1,9}$/.test(size) ? Number(size) : Number.NaN;
    if (!(bits >= (left === undefined ? 1 : 0)) || bits > MOST_BITS) {
      return `the size of a $var is a whole number of bits from 1 to ${MOST_BITS}`;
    }
    const name = readReference(reference);
    if (!name) return "the name of a $var may be followed by [bit] or [first:last] and nothing else";
    if (left !== undefined) this.noteOnce(`${left}, such as ${name.name}, are left out`);
    return this.add({ kind: left === undefined ? "bits" : "left out", type, size: bits, code }, name);
  }

  private add(variable: Omit<DumpVariable, "names">, name: Omit<VariableName, "scopes">): string | undefined {
    const named = { scopes: this.scopes, ...name };
    const present = this.variables.get(variable.code);
    if (present) {
      if (present.size !== variable.size || present.kind !== variable.kind) {
        return `the code ${variable.code} is given to ${name.name} with ${variable.size} bits and to another with ${present.size}`;
      }
      present.names.push(named);
      return undefined;
    }
    if (this.variables.size >= MOST_VARIABLES) return `there are more than ${MOST_VARIABLES} variables`;
    this.variables.set(variable.code, { ...variable, names: [named] });
    return undefined;
  }

  private noteOnce(what: string): void {
    const kind = what.replace(/such as [^,]*/, "");
    if (this.noted.has(kind)) return;
    this.noted.add(kind);
    this.note({ what });
  }
}

/** A name with the numbers of its bits, in one word or two. */
function readReference([first = "", ...rest]: readonly string[]): Omit<VariableName, "scopes"> | undefined {
  const index = String.raw`\[\s*(-?\d{1,9})\s*(?::\s*(-?\d{1,9})\s*)?\]`;
  const apart = rest.length > 0 ? new RegExp(`^${index}$`).exec(rest.join(" ")) : undefined;
  if (apart === null) return undefined;
  const within = apart ?? new RegExp(`^(?<name>.+)${index}$`).exec(first);
  if (!within) return { name: first };
  const [from, to] = within.slice(-2);
  const name = within.groups?.["name"] ?? first;
  return { name, range: { first: Number(from), last: Number(to ?? from) } };
}
