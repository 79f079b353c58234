import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { divider } from "./divider.js";
import { outcomeOf } from "./surroundings.js";

/** Whole frames take seconds where the machine is busy. */
vi.setConfig({ testTimeout: 120_000 });

const board = "examples/tide-board.circuit.yaml";
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "snapshot-"));
});
afterAll(async () => rm(folder, { recursive: true }));

const simulate = (...options: readonly string[]) => outcomeOf(commands, ["simulate", ...options]);
const withoutDelays = (...options: readonly string[]) =>
  simulate(board, "--frames", "1", "--delays", "none", "--json", ...options);

describe("`simulate --save` and `--resume`", () => {
  test("go on from where the board was, and refuse what is of another", async () => {
    const [state, stripes, kept] = [join(folder, "state"), join(folder, "stripes.bin"), join(folder, "kept.bin")];
    await writeFile(stripes, new Uint8Array(32768).fill(0x3c));
    const first = await withoutDelays("--memory", stripes, "--save", state);
    expect(JSON.parse(first.out)).toMatchObject({ savedPath: state });
    const second = await withoutDelays("--resume", state, "--keep", kept);
    expect(second.exitCode).toBe(0);
    const [before, after] = [first, second].map(({ out }) => JSON.parse(out) as { simulatedMs: number });
    // It is counted from power-up, and at least a frame of 16.68 ms further on.
    expect(after?.simulatedMs).toBeGreaterThan((before?.simulatedMs ?? 0) + 16.6);
    expect(new Set(await readFile(kept))).toEqual(new Set([0x3c]));
    const other = await simulate(board, "--resume", state);
    expect(other.err).toContain("was saved with --delays none; it goes on with the same");
    const wide = await simulate("examples/tide-board-wide.circuit.yaml", "--delays", "none", "--resume", state);
    expect(wide.err).toContain("was saved of another circuit, or before a change to it");
  });

  test("go on with delays too, edge by edge", async () => {
    const [file, state, vcd] = [join(folder, "divider.yaml"), join(folder, "delayed"), join(folder, "divider.vcd")];
    await writeFile(file, divider);
    const edges = async (...options: readonly string[]) => {
      const wanted = ["--delays", "random", "--vcd", vcd, "--nets", "HALF", ...options];
      expect((await simulate(file, ...wanted)).exitCode).toBe(0);
      return (await readFile(vcd, "utf8")).match(/#\d+\n[01]!/g) ?? [];
    };
    const whole = await edges("--to", "21 us");
    const first = await edges("--to", "9.25 us", "--save", state);
    const second = await edges("--from", "9.25 us", "--to", "21 us", "--resume", state);
    expect(first.length).toBeGreaterThan(3);
    expect(second.length).toBeGreaterThan(3);
    expect([...first, ...second]).toEqual(whole);
    const other = await simulate(file, "--delays", "random", "--seed", "2", "--vcd", vcd, "--resume", state);
    expect(other.err).toContain("was saved with --delays random --seed 1; it goes on with the same");
  });

  test("refuse what is no snapshot, and what cannot be saved", async () => {
    const file = join(folder, "no-snapshot");
    for (const text of ["", "{}", '{"snapshot":1,"delays":"none","seed":1,"circuit":"","board":{}}']) {
      await writeFile(file, text);
      const { exitCode, err } = await withoutDelays("--resume", file);
      expect(err).toContain("is no snapshot that --save wrote");
      expect(exitCode).toBe(2);
    }
    expect((await simulate(board, "--busy", "--save", file)).err).toContain("--save and --busy");
    expect((await simulate(board, "--boards", "2", "--save", file)).err).toContain("are of one board");
  });
});
