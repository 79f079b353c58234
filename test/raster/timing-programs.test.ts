import { spawnSync } from "node:child_process";
import { describe, expect, test } from "vitest";
import { fieldRate, findRaster, inHertz, publishedRasters } from "../../src/raster/index.js";
import type { PublishedRaster } from "../../src/raster/index.js";
import {
  type PrintedTiming,
  asPrinted,
  edidDecodeArguments,
  frozenOutputs,
  readEdidDecode,
  readModeline,
} from "./timing-program-output.js";

/** Sources: Debian packages edid-decode and xcvt; their output is frozen in test/data/timing-programs.json. */
const fromEdidDecode = publishedRasters.filter((raster) => edidDecodeArguments(raster) !== undefined);

function isInstalled(program: string): boolean {
  return spawnSync(program, ["--help"]).error === undefined;
}

function run(program: string, args: readonly string[]): string[] {
  return spawnSync(program, args, { encoding: "utf8" }).stdout.split("\n");
}

function rasterOfCommand(args: readonly string[]): PublishedRaster {
  const raster = fromEdidDecode.find((candidate) => edidDecodeArguments(candidate)?.join() === args.join());
  if (!raster) throw new Error(`no raster comes from edid-decode ${args.join(" ")}`);
  return raster;
}

describe("edid-decode (Debian 0.1~git20220315) gives the numbers of our tables", () => {
  const frozen = frozenOutputs.filter(({ command: [program] }) => program === "edid-decode");
  test.each(frozen.map((row) => [row.command.join(" "), row] as const))("as frozen: %s", (_, { command, output }) => {
    const raster = rasterOfCommand(command.slice(1));
    const { fieldRateHz, ...printed } = readEdidDecode(output);
    expect(asPrinted(raster)).toEqual(printed);
    expect(inHertz(fieldRate(raster))).toBeCloseTo(fieldRateHz, 5);
  });

  test.skipIf(!isInstalled("edid-decode"))("as the installed program prints all of them", () => {
    for (const raster of fromEdidDecode) {
      const { fieldRateHz, ...printed } = readEdidDecode(run("edid-decode", edidDecodeArguments(raster) ?? []));
      expect(asPrinted(raster), `numbers of ${raster.id}`).toEqual(printed);
      expect(inHertz(fieldRate(raster)), `numbers of ${raster.id}`).toBeCloseTo(fieldRateHz, 5);
    }
    expect(fromEdidDecode.length).toBeGreaterThan(130);
  });
});

describe("xcvt (Debian 0.1.2, libxcvt) gives the numbers of our CVT table", () => {
  const frozen = frozenOutputs.filter(({ command: [program] }) => program === "cvt");
  const cases = frozen.map((row) => [row.command.join(" "), row] as const);

  test.each(cases)("as frozen: %s", (_, { command, output }) => {
    expect(readModeline(output)).toEqual(moveAlignedSync(command.slice(1)));
  });

  test.skipIf(!isInstalled("cvt")).each(cases)("as the installed program prints: %s", (_, { command }) => {
    const [program, ...args] = command;
    expect(readModeline(run(program, args))).toEqual(moveAlignedSync(args));
  });

  /**
   * What our table leads libxcvt to print. It moves the start of sync to the next cell of 8 dots even when it lies on one
   * already, so that 640x480 gets a front porch of 24 and a sync of 56 dots. The CVT formula rounds down to a cell: 16 and
   * 64, as edid-decode has it.
   */
  function moveAlignedSync(args: readonly string[]): PrintedTiming {
    const [width, height, rate] = args.filter((arg) => arg !== "-r");
    const lookup = findRaster(`cvt-${width}x${height}@${rate}${args[0] === "-r" ? "-rb1" : ""}`);
    if (!lookup.found) throw new Error(`no CVT raster for ${args.join(" ")}`);
    const ours = asPrinted(lookup.raster);
    const [frontPorch, sync, backPorch, border] = ours.h;
    const moved = width === "640" ? 8 : 0;
    return { ...ours, h: [frontPorch + moved, sync - moved, backPorch, border] };
  }
});
