import { Command as Parser, CommanderError, InvalidArgumentError, Option } from "commander";
import { BadInput, type Problem } from "./bad-input.js";
import type { Answer, Command, OptionDefinition, Running } from "./command.js";
import { silentProgress } from "../judging/index.js";
import { progressOn, type ProgressStream } from "./progress.js";

/** Where the command line reads and writes; the real ones are in main.ts. */
export type Surroundings = {
  readonly out: ProgressStream;
  readonly err: ProgressStream;
  /** Milliseconds that only ever rise. */
  readonly now: () => number;
  /** Resolves when a command that goes on shall end. */
  readonly untilStopped: () => Promise<void>;
  /** True when an unexpected error is shown with its stack. */
  readonly debug: boolean;
};

export type ExitCode = 0 | 1 | 2 | 3;

const exitCodes = `
Exit codes:
  0  holds, or done
  1  something fails, is not settled or is not covered
  2  bad input: a file or an argument cannot be used
  3  a fault in dotwright itself`;

/**
 * Runs the command that the arguments ask for.
 *
 * @param commands the command table
 * @param version what `--version` prints
 * @param args the arguments after the program's name
 * @returns the exit code; never throws
 */
export async function runProgram(
  commands: readonly Command[],
  version: string,
  args: readonly string[],
  surroundings: Surroundings,
): Promise<ExitCode> {
  const { out, err, debug } = surroundings;
  const wantsJson = args.includes("--json");
  const refuse = (problems: readonly Problem[]): void => {
    for (const { text } of problems) err.write(`${text}\n`);
    if (wantsJson) out.write(toJson({ problems: problems.map(({ text, details }) => ({ text, ...details })) }));
  };

  const print = (text: string, json: unknown): void => {
    if (!wantsJson) out.write(withNewline(text));
    else if (json !== undefined) out.write(toJson(json));
  };

  let answer: Answer | undefined;
  const running = { say: print, untilStopped: surroundings.untilStopped };
  const parser = buildParser(commands, version, surroundings, running, (found) => (answer = found));
  try {
    await parser.parseAsync(args, { from: "user" });
    if (answer) print(answer.text, answer.json);
    return answer?.exitCode ?? 0;
  } catch (error) {
    if (error instanceof CommanderError) {
      // Help and version that were asked for end here too, with exit code 0; help for want of a command does not.
      if (error.exitCode === 0) return 0;
      if (!error.code.startsWith("commander.help")) refuse([{ text: `dotwright: ${oneLine(error.message)}` }]);
      return 2;
    }
    if (error instanceof BadInput) {
      refuse(error.problems);
      return 2;
    }
    const message = oneLine(error instanceof Error ? error.message : String(error));
    refuse([{ text: `dotwright: unexpected error: ${message} (DOTWRIGHT_DEBUG=1 shows where)` }]);
    if (debug && error instanceof Error && error.stack) err.write(`${error.stack}\n`);
    return 3;
  }
}

function buildParser(
  commands: readonly Command[],
  version: string,
  { out, err, now }: Surroundings,
  running: Running,
  onAnswer: (answer: Answer) => void,
): Parser {
  const parser = new Parser("dotwright")
    .description("Proves, simulates and wires a video circuit of standard logic chips.")
    .usage("COMMAND [arguments] [options]")
    .version(version, "--version", "print the version")
    .helpOption("-h, --help", "show this help")
    .helpCommand("help [command]", "show the help of a command")
    .addHelpText("after", exitCodes)
    .exitOverride()
    .configureOutput({
      writeOut: (text) => out.write(text),
      writeErr: (text) => err.write(text),
      outputError: () => undefined,
      getOutHelpWidth: () => out.columns ?? 100,
      getErrHelpWidth: () => err.columns ?? 100,
    });

  for (const command of commands) {
    const sub = parser.command(command.name).summary(command.summary).description(`${command.summary}.`);
    const argumentNames = Object.keys(command.arguments);
    for (const [name, { summary, optional }] of Object.entries(command.arguments)) {
      sub.argument(optional ? `[${dashed(name)}]` : `<${dashed(name)}>`, summary);
    }
    for (const [name, definition] of Object.entries(command.options)) sub.addOption(parserOption(name, definition));
    sub
      .option("--json", "print the answer as JSON")
      .option("--quiet", "show no progress")
      .helpOption("-h, --help", "show this help");
    if (command.examples.length > 0) {
      sub.addHelpText("after", `\nExamples:\n${command.examples.map((line) => `  ${line}`).join("\n")}`);
    }
    sub.addHelpText("after", exitCodes);
    sub.action(async (...values: unknown[]) => {
      const given = sub.opts<Record<string, unknown>>();
      const context = {
        arguments: Object.fromEntries(argumentNames.map((name, index) => [name, values[index]])),
        options: Object.fromEntries(
          Object.entries(command.options).map(([name, definition]) => [name, valueOf(name, definition, given)]),
        ),
        progress: given["json"] || given["quiet"] ? silentProgress : progressOn(err, now),
        running,
      };
      // Commander has checked and converted the values against the same table, but types them loosely.
      onAnswer(await command.run(context as Parameters<Command["run"]>[0]));
    });
  }
  return parser;
}

/** So many letters of choices fit beside their summary; longer ones stand behind it. */
const MOST_CHOICE_LETTERS = 48;

function choiceOption(flag: string, { choices, summary }: OptionDefinition & { kind: "choice" }): Option {
  const among = choices.join("|");
  return among.length <= MOST_CHOICE_LETTERS
    ? new Option(`${flag} <${among}>`, summary)
    : new Option(`${flag} <name>`, `${summary}: ${choices.join(", ")}`);
}

function parserOption(name: string, definition: OptionDefinition): Option {
  const flag = `--${dashed(name)}`;
  switch (definition.kind) {
    case "flag":
      return new Option(flag, definition.summary);
    case "text":
      return withDefault(new Option(`${flag} <${definition.value}>`, definition.summary), definition.default);
    case "choice":
      return withDefault(
        choiceOption(flag, definition).argParser((text) => {
          if (definition.choices.includes(text)) return text;
          throw new InvalidArgumentError(`Expected one of ${definition.choices.join(", ")}.`);
        }),
        definition.default,
      );
    case "number":
      return withDefault(
        new Option(`${flag} <${definition.value}>`, definition.summary).argParser((text) => {
          return parseNumber(text, definition);
        }),
        definition.default,
      );
    case "list":
      return new Option(`${flag} <${definition.value}>`, definition.summary).argParser(
        (text, before: readonly string[] | undefined) => [
          ...(before ?? []),
          ...text
            .split(",")
            .map((item) => item.trim())
            .filter((item) => item !== ""),
        ],
      );
  }
}

function withDefault(option: Option, value: string | number | undefined): Option {
  return value === undefined ? option : option.default(value);
}

/** The parser keeps `--no-picture` as a `picture` that is false. */
function valueOf(name: string, definition: OptionDefinition, given: Readonly<Record<string, unknown>>): unknown {
  const [, first, rest] = /^no([A-Z])(.*)$/.exec(name) ?? [];
  if (first !== undefined && definition.kind === "flag") return given[`${first.toLowerCase()}${rest}`] === false;
  return given[name] ?? whenAbsent(definition);
}

function whenAbsent(definition: OptionDefinition): unknown {
  if (definition.kind === "flag") return false;
  return definition.kind === "list" ? [] : undefined;
}

function parseNumber(text: string, limits: OptionDefinition & { kind: "number" }): number {
  const { least = -Infinity, greatest = Infinity, whole = false } = limits;
  const value = text.trim() === "" ? Number.NaN : Number(text);
  if (Number.isFinite(value) && value >= least && value <= greatest && (!whole || Number.isSafeInteger(value))) {
    return value;
  }
  const from = least > -Infinity ? ` from ${least}` : "";
  const to = greatest < Infinity ? ` up to ${greatest}` : "";
  throw new InvalidArgumentError(`Expected a ${whole ? "whole " : ""}number${from}${to}.`);
}

/** `pictureScale` becomes `picture-scale`. */
/** An option as it is written on the command line: `pictureScale` is `--picture-scale`. */
export function dashed(name: string): string {
  return name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
}

function oneLine(text: string): string {
  return text
    .replace(/^error: /, "")
    .replace(/\s*\n\s*/g, " ")
    .trim();
}

function withNewline(text: string): string {
  return text === "" || text.endsWith("\n") ? text : `${text}\n`;
}

/** JSON with a line feed at the end. Whole numbers beyond what JSON readers keep exact are written as text. */
function toJson(value: unknown): string {
  const exact = (_key: string, item: unknown): unknown => {
    if (typeof item !== "bigint") return item;
    return item >= Number.MIN_SAFE_INTEGER && item <= Number.MAX_SAFE_INTEGER ? Number(item) : String(item);
  };
  return `${JSON.stringify(value, exact, 2)}\n`;
}
