import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "./surroundings.js";

/** A lamp of which the flip-flop's input TURN comes with the next wires. */
const lamp = `dotwright: 1
title: Pier lamp
raster: 640x480@60
build: printed board
picture: {size: 320 x 240, hsync: HS, vsync: VS, video: LAMP}
to come: [TURN]
chips:
  X1: {part: OSC-10MHz, pins: {OUT: OSC}}
  U1:
    part: 74HC74
    pins: {1CLK: OSC, "1D, 1Q#": HALF#, "1Q, 2CLK": HALF, 2D: TURN, 2Q: LAMP, 2Q#: open, "1PRE#, 1CLR#, 2PRE#, 2CLR#": high}
  U2:
    part: 74HC163
    pins: {CLK: HALF, "CLR#, LOAD#, ENP, ENT": high, "A, B, C, D": low, QA: open, QB: open, QC: HS, QD: VS, RCO: open}
`;

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "half-wired-"));
  await writeFile(join(folder, "lamp.circuit.yaml"), lamp);
});
afterAll(async () => rm(folder, { recursive: true }));

const run = (command: string, ...more: readonly string[]) =>
  outcomeOf(commands, [command, join(folder, "lamp.circuit.yaml"), ...more]);

describe("a board with a net to come", () => {
  test("is proved as far as it goes", async () => {
    const { exitCode, out, err } = await run("prove", "--all");
    expect({ exitCode, err }).toEqual({ exitCode: 1, err: "" });
    expect(out).toContain("set-up U1 1D");
    expect(out).toContain("to come TURN");
    expect(out).not.toContain("set-up U1 2D");
  });

  test("is simulated, and what rests on the net is told to be unknown", async () => {
    const { out, err } = await run("simulate");
    expect(err).toBe("");
    expect(out).toMatch(/The video was unknown or undriven for [\d.]+ .s in all/);
  });

  test("is wired but for that net, which is named", async () => {
    const { exitCode, out } = await run("wire");
    expect(exitCode).toBe(0);
    expect(out).toMatch(/to come/i);
    expect(out).toContain("TURN");
    expect(out).not.toMatch(/\[ \].*TURN/);
  });

  test("has a report with every question answered, which names the net", async () => {
    const { out, err } = await run("report", "--without", "gallery");
    expect(err).toBe("");
    for (const question of ["every slot fit?", "the monitor lock?", "will I see?", "do I wire?"])
      expect(out).toContain(question);
    const page = await readFile(join(folder, "lamp.report.html"), "utf8");
    expect(page).toContain("TURN");
  });
});
