import type { Progress } from "../judging/index.js";

/**
 * A command is a record: the command line's parser, its help and the documents all read the same table, and the command
 * itself only turns arguments into an answer. Option names are written as they are in TypeScript (`pictureScale`) and appear
 * on the command line with dashes (`--picture-scale`).
 */
export type ArgumentDefinition = {
  readonly summary: string;
  /** True when the command can do without it; arguments are required by default. Only the last may be optional. */
  readonly optional?: boolean;
};

export type OptionDefinition =
  /** `noPicture` is true when `--no-picture` is given. */
  | { readonly kind: "flag"; readonly summary: string }
  | { readonly kind: "text"; readonly value: string; readonly summary: string; readonly default?: string }
  | {
      readonly kind: "number";
      readonly value: string;
      readonly summary: string;
      readonly default?: number;
      /** Least and greatest value accepted, both included. */
      readonly least?: number;
      readonly greatest?: number;
      /** True when only whole numbers make sense. */
      readonly whole?: boolean;
    }
  | {
      readonly kind: "choice";
      readonly choices: readonly string[];
      readonly summary: string;
      readonly default?: string;
    }
  /** May be given several times, or once with commas; absent means an empty list. */
  | { readonly kind: "list"; readonly value: string; readonly summary: string };

export type ArgumentTable = { readonly [name: string]: ArgumentDefinition };
export type OptionTable = { readonly [name: string]: OptionDefinition };

type ValueOf<D extends OptionDefinition> = D extends { kind: "flag" }
  ? boolean
  : D extends { kind: "list" }
    ? readonly string[]
    : D extends { kind: "number" }
      ? number | (D extends { default: number } ? never : undefined)
      : D extends { kind: "choice"; choices: readonly (infer C)[] }
        ? C | (D extends { default: string } ? never : undefined)
        : string | (D extends { default: string } ? never : undefined);

export type CommandContext<A extends ArgumentTable, O extends OptionTable> = {
  readonly arguments: { readonly [K in keyof A]: A[K] extends { optional: true } ? string | undefined : string };
  readonly options: { readonly [K in keyof O]: ValueOf<O[K]> };
  readonly progress: Progress;
  readonly running: Running;
};

/** For a command that goes on until it is stopped. */
export type Running = {
  /** Prints at once: `text` to standard output, or `json` in its place with `--json`. */
  readonly say: (text: string, json: unknown) => void;
  /** Resolves when the person or the system asks for an end (Ctrl-C, a closed terminal). */
  readonly untilStopped: () => Promise<void>;
};

/**
 * What a command found. `exitCode` is 0 when what was asked holds or was done, and 1 when something fails or is not
 * covered; bad input is thrown as `BadInput`. `text` goes to standard output, or `json` in its place with `--json`; nothing
 * where all has been said while the command was running.
 */
export type Answer = {
  readonly exitCode: 0 | 1;
  readonly text: string;
  readonly json: unknown;
};

export type CommandDefinition<A extends ArgumentTable, O extends OptionTable> = {
  readonly name: string;
  /** One line without a full stop, as it stands in the list of commands. */
  readonly summary: string;
  readonly arguments: A;
  readonly options: O;
  /** Whole command lines that work in the repository's root. */
  readonly examples: readonly string[];
  run(context: CommandContext<A, O>): Answer | Promise<Answer>;
};

export type Command = CommandDefinition<ArgumentTable, OptionTable>;

/** Checks a command's record and gives `run` the exact types of its arguments and options. */
export function defineCommand<const A extends ArgumentTable, const O extends OptionTable>(
  definition: CommandDefinition<A, O>,
): Command {
  // `run` knows its options more exactly than the table does, which only a method may. The parser builds the context from
  // this very record, so it hands over exactly those.
  return definition;
}
