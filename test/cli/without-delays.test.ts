import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { decode } from "fast-png";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { describeGivenUp, givenUpData } from "../../src/cli/without-delays-text.js";
import { TooMuchOpen, simulateWithoutDelays } from "../../src/simulation/index.js";
import { buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { outcomeOf } from "./surroundings.js";

/** Whole frames take seconds where the machine is busy. */
vi.setConfig({ testTimeout: 120_000 });

const board = "examples/tide-board.circuit.yaml";
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "without-delays-"));
});
afterAll(async () => rm(folder, { recursive: true }));

describe("`simulate --delays none`", () => {
  test("shows the picture, and says that it ran without delays", async () => {
    const [picture, memory, kept] = [join(folder, "white.png"), join(folder, "white.bin"), join(folder, "kept.bin")];
    await writeFile(memory, new Uint8Array(32768).fill(0xff));
    const wanted = ["--frames", "3", "--memory", memory, "--picture", picture, "--keep", kept];
    const { exitCode, out } = await outcomeOf(commands, ["simulate", board, "--delays", "none", ...wanted]);
    expect(out).toContain("Locks: 31.469 kHz, 59.94 Hz, meets VESA DMT 0x04 640x480@59.94.");
    expect(out).toMatch(/of the circuit's time without delays, [\d.]+ million edges: the logic's picture/);
    expect(exitCode).toBe(0);
    const image = decode(await readFile(picture));
    expect(image).toMatchObject({ width: 640, height: 480 });
    expect(image.data.every((level) => level === 255)).toBe(true);
    expect(new Uint8Array(await readFile(kept))).toEqual(new Uint8Array(32768).fill(0xff));
  });

  test("plays at the inputs from the release of the reset on, with given contents as with the test card", async () => {
    const memory = join(folder, "black.bin");
    await writeFile(memory, new Uint8Array(32768));
    const wanted = ["--frames", "1", "--busy", "--memory", memory];
    const { out, err } = await outcomeOf(commands, ["simulate", board, "--delays", "none", ...wanted]);
    expect(err).toBe("");
    expect(out).toContain("Locks: ");
    expect(Number(/^U25: (\d+) writes\.$/m.exec(out)?.[1])).toBeGreaterThan(1000);
  });

  test("refuses what is about times", async () => {
    for (const option of [
      ["--watch"],
      ["--vcd", join(folder, "none.vcd")],
      ["--boards", "2"],
      ["--witness", "set-up"],
    ]) {
      const { exitCode, err } = await outcomeOf(commands, ["simulate", board, "--delays", "none", ...option]);
      expect(err).toContain(`${option[0]} is about times, and --delays none knows none`);
      expect(exitCode).toBe(2);
    }
  });

  test("goes on for longer than delays can be counted, and is offered where these cannot", async () => {
    const { exitCode, err } = await outcomeOf(commands, ["simulate", board, "--frames", "600"]);
    expect(err).toContain("--frames 600: with delays at most 537 frames; --delays none goes on for longer");
    expect(exitCode).toBe(2);
  });

  test("names the nets between which the outcome is open, and gives up where it is at every edge", () => {
    const circuit = buildCircuit({
      chips: {
        X1: [oscillator(40), "OUT=CK"],
        U1: [known("08"), "1A=CK 1B=high 1Y=CKA 2A=CK 2B=high 2Y=CKB"],
        U2: [known("74"), "1CLK=CKA 1D=Q1# 1CLR#=high 1PRE#=high 1Q=Q1 1Q#=Q1#"],
        U3: [known("74"), "1CLK=CKB 1D=Q1 1CLR#=high 1PRE#=high 1Q=Q2"],
      },
      picture: { hsync: "Q1", vsync: "CK", video: "Q2", size: [40, 30] },
    });
    let givenUp: unknown;
    try {
      simulateWithoutDelays(circuit, { frames: 1 });
    } catch (error) {
      givenUp = error;
    }
    if (!(givenUp instanceof TooMuchOpen)) throw new Error("it was not given up");
    const text = describeGivenUp(givenUp).join("\n");
    expect(text).toContain("Stopped: the outcome is open at almost every edge, so there is no picture.");
    expect(text).toContain("Without delays it is open what happens here; what is stored is unknown from then on.");
    expect(text).toMatch(/ {2}U3 q1: CKB, Q1 change at once, and the order matters; \d+ times, first at /);
    expect(givenUpData(givenUp).hangsOnDelays[0]).toMatchObject({ kind: "race", nets: ["CKB", "Q1"] });
  });
});
