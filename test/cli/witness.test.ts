import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { lateClock } from "./late-clock.js";
import { outcomeOf } from "./surroundings.js";

let folder: string;
let file: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "witness-"));
  file = join(folder, "late.circuit.yaml");
  await writeFile(file, lateClock);
});
afterAll(async () => rm(folder, { recursive: true }));

describe("`simulate --witness`", () => {
  test("draws the nets of a failure around its moment and lists the delays of the board", async () => {
    const { exitCode, out } = await outcomeOf(commands, ["simulate", file, "--witness", "set-up U2 2D"]);
    expect(exitCode).toBe(1);
    expect(out).toContain("set-up U2 2D: on this board short by ");
    expect(out).toContain("No board is worse.");
    for (const net of ["CK", "CK#", "LATE", "Q"]) expect(out).toMatch(new RegExp(`^${net} +[_‾/\\\\|]{40}`, "m"));
    expect(out).toMatch(/^a: U2 2CLK; b: U2 2D, \d+\.\d\d ns later\./m);
    expect(out).toMatch(/^U1 74HC04 1A to 1Y, fall/m);
  });

  test("gives the same board as data, exact to the femtosecond, and dumps it", async () => {
    const vcd = join(folder, "hold.vcd");
    const { out } = await outcomeOf(commands, ["simulate", file, "--witness", "set-up U2 2D", "--vcd", vcd, "--json"]);
    const { margin, isWorst, from, to, nets, board } = JSON.parse(out);
    expect(isWorst).toBe(true);
    expect(margin).toBeLessThan(0);
    expect(board.arcs["U2 1CLK rise to 1Q rise"] ?? board.arcs["U2 1CLK rise to 1Q fall"]).toBeGreaterThan(0);
    expect(nets.Q.changes.some(({ time }: { time: number }) => time > from && time <= to)).toBe(true);
    expect(to).toBeGreaterThan(from);
    expect(await readFile(vcd, "utf8")).toContain("$enddefinitions");
  });

  test("is spoken of by prove --why", async () => {
    const { out } = await outcomeOf(commands, ["prove", file, "--why", "set-up U2 2D"]);
    expect(out).toMatch(/A board within all limits has exactly this margin, and none\s+has\s+less:\s+simulate\s+with/);
  });

  test("runs the board that has no more to spare than a verdict that holds", async () => {
    const { exitCode, out } = await outcomeOf(commands, ["simulate", file, "--witness", "hold U2 1D"]);
    expect(exitCode).toBe(0);
    expect(out).toMatch(/^hold U2 1D: on this board \d+\.\d\d ns to spare\. No board has less\./m);
    const { out: why } = await outcomeOf(commands, ["prove", file, "--why", "hold U2 1D"]);
    const [, spare] = /on this board (\d+\.\d\d) ns/.exec(out) ?? [];
    expect(why).toContain(`hold U2 1D holds with ${spare} ns to spare`);
    expect(why).toContain("has exactly this margin");
  });

  test("refuses what no time decides, and what is no verdict", async () => {
    const untimed = await outcomeOf(commands, ["simulate", file, "--witness", "power-up"]);
    expect(untimed.exitCode).toBe(2);
    expect(untimed.err).toContain("no time decides it");
    const unknown = await outcomeOf(commands, ["simulate", file, "--witness", "hold U2 2E"]);
    expect(unknown.err).toContain("did you mean");
  });
});
