import type { Command } from "../../src/cli/command.js";
import { type ExitCode, runProgram } from "../../src/cli/program.js";

export type Outcome = { readonly exitCode: ExitCode; readonly out: string; readonly err: string };

/** Runs a command line against a table of commands and collects what it writes. */
export async function outcomeOf(
  commands: readonly Command[],
  args: readonly string[],
  {
    debug = false,
    now = () => 0,
    untilStopped = async () => undefined,
  }: { readonly debug?: boolean; readonly now?: () => number; readonly untilStopped?: () => Promise<void> } = {},
): Promise<Outcome> {
  const written = { out: "", err: "" };
  const exitCode = await runProgram(commands, "1.2.3", args, {
    out: { write: (text) => (written.out += text), columns: 100 },
    err: { write: (text) => (written.err += text), columns: 100 },
    now,
    untilStopped,
    debug,
  });
  return { exitCode, ...written };
}
