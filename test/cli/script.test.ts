import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "./surroundings.js";

/** Whole frames take seconds where the machine is busy. */
vi.setConfig({ testTimeout: 120_000 });

const board = fileURLToPath(new URL("../../examples/tide-board.circuit.yaml", import.meta.url));
const script = (name: string) => join(folder, name);
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "script-"));
  const write =
    "write:\n  - set: {PA: ADDRESS, PD: DATA, WR#: 0}\n  - wait: 150 ns\n  - set: {WR#: 1}\n  - wait: 2.5 us\n";
  await writeFile(join(folder, "tide.bin"), Uint8Array.of(0x18, 0x3c, 0x7e, 0xff));
  await writeFile(script("tide.yaml"), `script: 1\n${write}steps:\n  - write: {at: 0x40, file: tide.bin}\n`);
  await writeFile(script("wrong.yaml"), `script: 1\n${write}steps:\n  - write: {at: 0x40, file: ebb.bin}\n`);
  await writeFile(join(folder, "dark.bin"), new Uint8Array(32768));
});
afterAll(async () => rm(folder, { recursive: true }));

describe("`simulate --script`", () => {
  test("writes bytes of a file through the circuit, says so, and keeps what the memory then holds", async () => {
    const kept = join(folder, "kept.bin");
    const args = [
      "simulate",
      board,
      "--script",
      script("tide.yaml"),
      "--memory",
      join(folder, "dark.bin"),
      "--frames",
      "1",
      "--keep",
      kept,
    ];
    const { exitCode, out } = await outcomeOf(commands, args);
    expect(out).toContain("Script: 4 writes, done ");
    expect(out).toContain("U25: all 4 cells hold what was written.");
    expect(exitCode).toBe(0);
    expect([...(await readFile(kept)).subarray(0x40, 0x44)]).toEqual([0x18, 0x3c, 0x7e, 0xff]);
  });

  test("refuses a script with mistakes, each with its place, and one beside --busy", async () => {
    const wrong = await outcomeOf(commands, ["simulate", board, "--script", script("wrong.yaml")]);
    expect(wrong.exitCode).toBe(2);
    expect(wrong.err).toMatch(/wrong\.yaml:8:29: ebb\.bin: cannot be read/);
    const both = await outcomeOf(commands, ["simulate", board, "--script", script("tide.yaml"), "--busy"]);
    expect(both.err).toContain("--script and --busy both move the inputs");
  });
});
