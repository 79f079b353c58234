#!/usr/bin/env node
import { commands } from "./commands.js";
import { runProgram } from "./program.js";
import { version } from "./version-command.js";

// `dotwright wire ... | head` closes the pipe early, which is no fault of anybody's.
for (const stream of [process.stdout, process.stderr]) {
  stream.on("error", (error: NodeJS.ErrnoException) => {
    if (error.code !== "EPIPE") throw error;
    process.exit();
  });
}

// The exit code is set and not forced, so that what is still being written reaches its reader.
process.exitCode = await runProgram(commands, version, process.argv.slice(2), {
  out: process.stdout,
  err: process.stderr,
  now: () => performance.now(),
  untilStopped,
  debug: (process.env["DOTWRIGHT_DEBUG"] ?? "") !== "",
});

/** Only who waits for the end takes the signals over; every other command is ended by them as any program is. */
function untilStopped(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"]) process.once(signal, () => resolve());
  });
}
