import { mkdtemp, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { decode } from "fast-png";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { frameData } from "../../src/cli/simulate-data.js";
import { describeFrame, isInOrder } from "../../src/cli/simulate-text.js";
import { ns } from "../../src/quantity/index.js";
import { simulateFrame } from "../../src/simulation/index.js";
import { smallBoard } from "../support/small-board.js";
import { divider } from "./divider.js";
import { outcomeOf } from "./surroundings.js";

/** Whole frames take seconds where the machine is busy. */
vi.setConfig({ testTimeout: 120_000 });

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "simulate-"));
});
afterAll(async () => rm(folder, { recursive: true }));

describe("`simulate` of the tide board", () => {
  test("says what the monitor says, and writes picture and dump", async () => {
    const [picture, vcd, memory] = [join(folder, "frame.png"), join(folder, "line.vcd"), join(folder, "white.bin")];
    await writeFile(memory, new Uint8Array(32768).fill(0xff));
    const { exitCode, out } = await outcomeOf(commands, [
      "simulate",
      "examples/tide-board.circuit.yaml",
      "--frames",
      "1",
      "--picture",
      picture,
      "--memory",
      memory,
      "--vcd",
      vcd,
      "--nets",
      "HSYNC,MA",
      "--from",
      "20 us",
      "--to",
      "60 us",
    ]);
    expect(out).toContain("Locks: 31.469 kHz, 59.94 Hz, meets VESA DMT 0x04 640x480@59.94.");
    expect(out).toContain("Picture: 320 x 240 dots.");
    expect(out).toContain("RESET# is let go sooner here than the file says, to save time.");
    expect(exitCode).toBe(0);
    const image = decode(await readFile(picture));
    expect(image).toMatchObject({ width: 640, height: 480, channels: 3 });
    expect(image.data.every((level) => level === 255)).toBe(true);
    const dump = await readFile(vcd, "utf8");
    expect(dump).toMatch(/\$var wire 15 \S+ MA\[14:0\] \$end/);
    expect(dump).toMatch(/#20000000000\n\$dumpvars/);
    expect(dump.trimEnd().endsWith("#60000000000")).toBe(true);
    expect((await readdir(folder)).sort()).toEqual(["frame.png", "line.vcd", "white.bin"]);
  });
});

describe("`simulate` of a circuit without a picture", () => {
  test("records its nets", async () => {
    const [file, vcd] = [join(folder, "divider.yaml"), join(folder, "divider.vcd")];
    await writeFile(file, divider);
    const { exitCode, out } = await outcomeOf(commands, [
      "simulate",
      file,
      "--vcd",
      vcd,
      "--nets",
      "HALF",
      "--to",
      "9 us",
    ]);
    expect(out).toContain("only its nets were recorded");
    expect(exitCode).toBe(0);
    const rises = (await readFile(vcd, "utf8")).match(/#\d+\n1!/g) ?? [];
    expect(rises.length).toBeGreaterThanOrEqual(4);
    expect(rises.length).toBeLessThanOrEqual(5);
  });

  test("asks for --vcd where it is missing", async () => {
    const file = join(folder, "divider.yaml");
    await writeFile(file, divider);
    const { exitCode, err } = await outcomeOf(commands, ["simulate", file]);
    expect(err).toContain("names no picture, so there is none to show; --vcd records nets all the same");
    expect(exitCode).toBe(2);
  });
});

describe("`simulate` refuses", () => {
  test("nets that do not exist and spans that are none, all in one go, and leaves no file", async () => {
    const vcd = join(folder, "nothing.vcd");
    const { exitCode, err } = await outcomeOf(commands, [
      "simulate",
      "examples/tide-board.circuit.yaml",
      "--vcd",
      vcd,
      "--nets",
      "HSYNK,MA,NOWHERE",
      "--from",
      "5 parsecs",
    ]);
    expect(err.trimEnd().split("\n")).toEqual([
      expect.stringContaining("--from 5 parsecs: "),
      "--nets HSYNK: there is no such net; did you mean HSYNC?",
      "--nets NOWHERE: there is no such net",
    ]);
    expect(exitCode).toBe(2);
    expect(await readdir(folder)).not.toContain("nothing.vcd");
    const backwards = await outcomeOf(commands, [
      "simulate",
      "examples/tide-board.circuit.yaml",
      "--vcd",
      vcd,
      "--from",
      "2 us",
      "--to",
      "1 us",
    ]);
    expect(backwards.err.trim()).toBe("--to 1 us lies before --from 2 us");
  });

  test("a memory that the circuit does not have", async () => {
    const bytes = join(folder, "sync.bin");
    await writeFile(bytes, new Uint8Array(16));
    const { exitCode, err } = await outcomeOf(commands, [
      ...["simulate", "examples/tide-board.circuit.yaml", "--memory", `U3=${bytes}`],
    ]);
    expect(err.trim()).toBe(`--memory U3=${bytes}: the circuit's memories are U25`);
    expect(exitCode).toBe(2);
  });

  test("more bytes than the memory holds", async () => {
    const bytes = join(folder, "large.bin");
    await writeFile(bytes, new Uint8Array(32769));
    const { exitCode, err } = await outcomeOf(commands, [
      "simulate",
      "examples/tide-board.circuit.yaml",
      "--memory",
      bytes,
    ]);
    expect(err.trim()).toContain(`${bytes}: `);
    expect(err.trim().split("\n")).toHaveLength(1);
    expect(exitCode).toBe(2);
  });
});

describe("what is said about a frame", () => {
  test("names each thing that is not in order", () => {
    const board = smallBoard({ noVerticalSync: true });
    const seen = simulateFrame(board);
    expect(isInOrder(seen)).toBe(false);
    const [first, , last] = [...describeFrame(board, seen).slice(0, 2), describeFrame(board, seen).at(-1)];
    expect(first).toMatch(/^Does not lock: no vertical sync\. The vertical sync net stays high\./);
    expect(last).toMatch(/^Simulated \d+(\.\d+)? ms of the circuit's time, \d+\.\d million events\.$/);
    expect(frameData(board, seen)).toMatchObject({ locks: false, reason: "no vertical sync", inOrder: false });
  });

  test("counts requirements that were not met, and what could not be watched", () => {
    const board = smallBoard();
    const seen = simulateFrame(board, { frames: 1, watch: true });
    expect(describeFrame(board, seen)).toContain("Picture: 40 x 30 dots, the test card dot for dot.");
    expect(seen.notWatched?.length).toBeGreaterThan(0);
    expect(seen.violations).toEqual([]);
    // The clock to the column takes 9 ns, the selector 20: of 635.5 ns this leaves the video register 1.5.
    const slow = ["rise", "fall"].map((edge) => [`U7 DOT ${edge} to Y ${edge}`, ns(605)] as const);
    const spoiled = simulateFrame(board, {
      frames: 1,
      watch: true,
      delays: { arcs: new Map(slow), wires: new Map(), oscillators: new Map(), otherwise: "typical" },
    });
    const text = describeFrame(board, spoiled).join("\n");
    expect(text).toMatch(/Watched: \d+ requirements? (was|were) not met\./);
    expect(text).toMatch(/U8 3D to CLK: set-up tsu [\d.]+ ns of 20 ns/);
    expect(isInOrder(spoiled)).toBe(false);
  });
});
