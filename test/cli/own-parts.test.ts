import { copyFile, mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "./surroundings.js";

/** A counter whose first count a NOR gate of the drawer finds; a shift register holds it for the lamp at the slipway. */
const slipway = (own: string, gate = "74HC4078") => `dotwright: 1
title: Lamp at the slipway
raster: 640x480@60
build: printed board
own parts: ${own}
picture: { size: 320 x 240, hsync: HS, vsync: VS, video: LAMP }
chips:
  X1: { part: OSC-8MHz, pins: { OUT: CLK } }
  U1:
    part: 74HC163
    pins: { CLK: CLK, "CLR#, LOAD#, ENP, ENT": high, "A, B, C, D": low, QA: HS, QB: VS, QC: N2, QD: N3, RCO: open }
  U2:
    part: ${gate}
    pins: { A: HS, B: VS, C: N2, D: N3, "E, F, G, H": low, J: FIRST, K: open }
  U3:
    part: 74VHC164
    pins: { CLK: CLK, A: FIRST, B: FIRST, CLR#: high, QA: LAMP, "Q[B..H]": open }
`;

let folder: string;
const file = (name: string) => join(folder, name);
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "drawer-"));
  await mkdir(file("boards"));
  const example = new URL("../../examples/drawer.parts.yaml", import.meta.url);
  await copyFile(fileURLToPath(example), file("drawer.parts.yaml"));
  await writeFile(file("beside.yaml"), slipway("drawer.parts.yaml"));
  await writeFile(file("boards/below.yaml"), slipway("../drawer.parts.yaml"));
  await writeFile(file("lost.yaml"), slipway("drawr.parts.yaml"));
  await writeFile(file("binary.yaml"), slipway("picture.parts.yaml"));
  await writeFile(file("picture.parts.yaml"), Uint8Array.of(0x89, 0x50, 0, 0));
});
afterAll(async () => rm(folder, { recursive: true }));

const run = (...args: readonly string[]) => outcomeOf(commands, args);

describe("a board with chips from the builder's drawer", () => {
  test.each(["beside.yaml", "boards/below.yaml"])(
    "finds the file by its path from the board's own: %s",
    async (name) => {
      const { out, err } = await run("wire", file(name));
      expect(err).toBe("");
      expect(out).toContain("8-input NOR and OR gate");
    },
  );

  test("is told which file a figure was taken from, and how to supply one that is missing", async () => {
    const { out } = await run("prove", file("beside.yaml"), "--why", "set-up U3 A");
    expect(out).toContain("Fairlead Semiconductor FS-HC4078, May 1988, switching characteristics, max85");
    const words = out.replaceAll(/\s+/g, " ");
    expect(words).toContain("max85, 4.5 V, 50 pF, in drawer.parts.yaml");
    expect(words).toContain(
      "No sheet on record gives U3: 74VHC164 set-up of A at CLK, 4.5 to 5.5 V, 0 to 70 °C: an own parts file can.",
    );
    expect(words).toContain(
      "'{ kind: set-up, pins: A, reference: CLK, -40 to 85 C: .. ns }' under 'requirements' of a 74VHC164 (docs/own-parts.md)",
    );
  });

  test("is covered once the builder has written that row", async () => {
    const gaps = `dotwright parts: 1
figures:
  - part: 74VHC164
    source: measured
    supply: 4.5 to 5.5 V
    requirements:
      - { kind: set-up, pins: A, reference: CLK, 0 to 70 C: 5 ns }
`;
    await writeFile(file("gaps.parts.yaml"), gaps);
    await writeFile(
      file("covered.yaml"),
      slipway("gaps.parts.yaml", "74HC30").replace(
        / {4}pins: \{ A: HS.*/,
        '    pins: { A: HS, B: VS, C: N2, D: N3, "E, F, G, H": high, Y: FIRST }',
      ),
    );
    const { out } = await run("prove", file("covered.yaml"), "--why", "set-up U3 A");
    expect(out).toMatch(/^set-up U3 A holds with/);
    expect(out).toContain("the builder measured");
  });

  test("is refused with the line that names a file which is not there, or is no text", async () => {
    const lost = await run("prove", file("lost.yaml"));
    expect(lost.exitCode).toBe(2);
    expect(lost.err).toContain(
      `${file("lost.yaml")}:5:12: own parts 'drawr.parts.yaml': cannot be read: there is no such file`,
    );
    const binary = await run("wire", file("binary.yaml"));
    expect(binary.exitCode).toBe(2);
    expect(binary.err).toContain(
      "binary.yaml:5:12: own parts 'picture.parts.yaml': is a binary file (a zero at byte 2)",
    );
  });
});
