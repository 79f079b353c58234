import { mkdtemp, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { fs } from "../../src/quantity/index.js";
import { encodePng } from "../../src/raster/index.js";
import { ChangeDump, simulateFrame } from "../../src/simulation/index.js";
import type { SmallBoardOptions } from "../support/small-board.js";
import { smallBoard } from "../support/small-board.js";
import { outcomeOf } from "./surroundings.js";

/** Whole frames take seconds where the machine is busy. */
vi.setConfig({ testTimeout: 120_000 });

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "screen-"));
});
afterAll(async () => rm(folder, { recursive: true }));

const memory = Uint8Array.from({ length: 256 }, (_, address) => (address * 167 + 13) & 0xff);

/** Simulates three frames of a small board, dumps its syncs and video from 3 ms on, and says what was shown last. */
async function dumped(name: string, options: SmallBoardOptions = {}): Promise<{ path: string; png: Uint8Array }> {
  const board = smallBoard(options);
  const nets = ["HSYNC", "VSYNC", "CSYNC", "VIDEO"].flatMap((net) => {
    const found = board.nets.find((one) => one.name === net);
    return found ? [{ name: net, nets: [found.id] }] : [];
  });
  let dump: ChangeDump | undefined;
  const { monitor } = simulateFrame(board, {
    frames: 3,
    memory,
    prepare: (simulator) => (dump = new ChangeDump(simulator, { nets, from: fs(3e12), to: fs(45e12) })),
  });
  dump?.end();
  const path = join(folder, `${name}.vcd`);
  await writeFile(path, dump?.read() ?? "");
  if (!monitor.locked) throw new Error(monitor.detail);
  return { path, png: encodePng(monitor.picture) };
}

describe("`screen`", () => {
  test("shows of a dump what the simulation showed that wrote it", async () => {
    const { path, png } = await dumped("still");
    const picture = join(folder, "still.png");
    const { exitCode, out } = await outcomeOf(commands, [
      "screen",
      path,
      ...["--raster", "640x480@60", "--size", "40x30", "--picture", picture],
    ]);
    expect(out.split("\n")[0]).toBe("Locks: 31.469 kHz, 59.94 Hz, meets VESA DMT 0x04 640x480@59.94.");
    expect(out).toContain(`The picture: ${picture}`);
    expect(exitCode).toBe(0);
    expect(new Uint8Array(await readFile(picture))).toEqual(png);
  });

  test("takes composite sync where both syncs are one net, and gives data", async () => {
    const { path, png } = await dumped("composite", { composite: "or" });
    const pictures = join(folder, "frames");
    const { exitCode, out } = await outcomeOf(commands, [
      "screen",
      path,
      ...["--hsync", "CSYNC", "--vsync", "CSYNC", "--pictures", pictures, "--animation", join(folder, "film.png")],
      "--json",
    ]);
    expect(JSON.parse(out)).toMatchObject({
      locks: true,
      meets: true,
      nearestRaster: "dmt-0x04",
      findings: [{ code: "no lines in vertical sync" }],
      animationPath: join(folder, "film.png"),
      framesWithoutPicture: 0,
    });
    expect(exitCode).toBe(0);
    expect(await readdir(pictures)).toEqual(["frame-1.png"]);
    expect(new Uint8Array(await readFile(join(pictures, "frame-1.png")))).toEqual(png);
  });

  test("says why a dump or a name in it is no good, with line and column", async () => {
    const broken = join(folder, "broken.vcd");
    await writeFile(broken, "$timescale 1 ns $end\n$var wire 1 ! HSYNC $end\n$enddefinitions $end\n#0 1!\n  2!\n");
    const named = await outcomeOf(commands, ["screen", broken]);
    expect(named.err.trim().split("\n")).toEqual([
      `${broken}: the dump has no VSYNC`,
      `${broken}: the dump has no VIDEO`,
    ]);
    const { exitCode, err } = await outcomeOf(commands, [
      "screen",
      broken,
      ...["--vsync", "HSYNC", "--video", "HSYNC"],
    ]);
    expect(err.trim()).toBe(`${broken}:5:3: '2!' is no change of a value and no time`);
    expect(exitCode).toBe(2);
  });

  test.each([
    [["--raster", "640x481@60"], "--raster 640x481@60: there is no such published raster; did you mean"],
    [["--size", "320x240"], "--size needs --raster"],
    [["--raster", "640x480@60", "--size", "wide"], "--size wide: dots and lines were expected"],
    [["--video", "V", "--red", "R"], "--video and colours cannot go together"],
    [["--monitor", "fast"], "--monitor fast: "],
  ])("refuses %j", async (args, message) => {
    const { exitCode, err } = await outcomeOf(commands, ["screen", "missing.vcd", ...args]);
    expect(err).toContain(message);
    expect(exitCode).toBe(2);
  });
});
