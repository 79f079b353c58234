/** A place in a dump's text, both from 1. */
export interface Place {
  readonly line: number;
  readonly column: number;
}

/** Why a dump cannot be read on, or what of it was left out. */
export interface DumpRemark extends Place {
  readonly what: string;
}

/** What a variable carries: bits, or what is left out (numbers with a fraction, texts, events). */
export type VariableKind = "bits" | "left out";

/** One name of a variable. Several names may share a code, and so a value. */
export interface VariableName {
  /** Names of the scopes around it, the outermost first. */
  readonly scopes: readonly string[];
  readonly name: string;
  /** Numbers of its first and last bit as declared, where they are. */
  readonly range?: { readonly first: number; readonly last: number };
}

/** What one code of a dump stands for. */
export interface DumpVariable {
  readonly kind: VariableKind;
  /** As declared: `wire`, `reg`, `real`. */
  readonly type: string;
  /** In bits. */
  readonly size: number;
  readonly code: string;
  readonly names: readonly VariableName[];
}

/** What the declarations say. */
export interface DumpDeclarations {
  /** One unit of time in femtoseconds: a power of ten. */
  readonly unitFs: number;
  readonly variables: readonly DumpVariable[];
  readonly date?: string;
  readonly version?: string;
}

/** What the values of a section tell: all at the beginning, all at some time, none from here on, all again. */
export type DumpSection = "$dumpvars" | "$dumpall" | "$dumpoff" | "$dumpon";

/** Told what a dump holds, in its order. Times are whole numbers of the declared unit, never falling. */
export interface DumpListener {
  /** Once, before everything else. */
  declared?(declarations: DumpDeclarations): void;
  /** A new value: as many letters `0`, `1`, `x`, `z` as the variable has bits, the most significant first. */
  change?(time: number, variable: DumpVariable, bits: string): void;
  /** A section of values begins. */
  section?(time: number, section: DumpSection): void;
  /** Time has gone on; what changes next changes then. */
  time?(time: number): void;
}
