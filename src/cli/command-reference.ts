import { markdownCell } from "../paper/index.js";
import type { Command, OptionDefinition } from "./command.js";
import { dashed } from "./program.js";

/** Every command with its arguments, options and examples, as a page in Markdown: `docs/commands.md`. */
export function commandReference(commands: readonly Command[]): string {
  return [
    "# The commands",
    "",
    "Made by `npm run references` from the table that the command line itself reads; not to be edited by hand.",
    "",
    "Every command also takes `--json` (print the answer as JSON), `--quiet` (show no progress) and `--help`. The exit code is",
    "0 where all holds or was done, 1 where something fails, is not settled or is not covered, 2 where the input cannot be",
    "used, and 3 on a fault in Dotwright itself.",
    "",
    ...commands.map(({ name, summary }) => `- [${name}](#${name}): ${lowerFirst(summary)}`),
    "",
    ...commands.flatMap(commandSection),
  ].join("\n");
}

function commandSection(command: Command): string[] {
  const args = Object.entries(command.arguments);
  const options = Object.entries(command.options);
  const usage = args.map(([name, { optional }]) => (optional ? `[${dashed(name)}]` : `<${dashed(name)}>`));
  return [
    `## ${command.name}`,
    "",
    `${command.summary}.`,
    "",
    `    npx dotwright ${[command.name, ...usage, ...(options.length > 0 ? ["[options]"] : [])].join(" ")}`,
    "",
    ...args.map(([name, { summary }]) => `- \`${dashed(name)}\`: ${summary}`),
    ...(args.length > 0 ? [""] : []),
    ...(options.length > 0 ? ["| option | what it does |", "| --- | --- |", ...options.map(optionRow), ""] : []),
    ...(command.examples.length > 0 ? ["Examples:", "", ...command.examples.map((line) => `    ${line}`), ""] : []),
  ];
}

function optionRow([name, definition]: [string, OptionDefinition]): string {
  const flag = `--${dashed(name)}`;
  const value = valueName(definition);
  const usage = value === undefined ? flag : `${flag} <${value}>`;
  return `| \`${markdownCell(usage)}\` | ${markdownCell(definition.summary)}${limits(definition)} |`;
}

function valueName(definition: OptionDefinition): string | undefined {
  if (definition.kind === "flag") return undefined;
  return definition.kind === "choice" ? definition.choices.join("|") : definition.value;
}

function limits(definition: OptionDefinition): string {
  const words: string[] = [];
  if (definition.kind === "list") words.push("may be given several times");
  if (definition.kind === "number" && (definition.least !== undefined || definition.greatest !== undefined)) {
    const { least, greatest } = definition;
    words.push(
      least === undefined
        ? `at most ${greatest}`
        : greatest === undefined
          ? `at least ${least}`
          : `${least} to ${greatest}`,
    );
  }
  if ("default" in definition && definition.default !== undefined && definition.default !== "") {
    words.push(`default: ${definition.default}`);
  }
  return words.length > 0 ? ` (${words.join("; ")})` : "";
}

function lowerFirst(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}
