import { copyFile, mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "./surroundings.js";

let folder: string;
let file: string;
let notebook: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "note-"));
  file = join(folder, "lamp.circuit.yaml");
  notebook = join(folder, "lamp.notebook.txt");
  await copyFile("test/desk/tide-lamp.circuit.yaml", file);
});
afterAll(async () => rm(folder, { recursive: true }));

const note = (...more: string[]) => outcomeOf(commands, ["note", file, ...more]);

describe("the notebook beside a circuit file", () => {
  test("is begun with the first entry, and shows what was noted by date", async () => {
    expect((await note()).out).toContain("Nothing is noted");
    await note("--found", "pin 3 of U2\nwas bent", "--measured", "U1.QA=4 MHz 50 %", "--at", "2026-11-28 14:05");
    await note("--built", "X1 and U1", "--at", "2026-11-28");
    const { exitCode, out } = await note();
    expect(exitCode).toBe(0);
    expect(
      out
        .trim()
        .split("\n")
        .map((line) => line.replaceAll(/\s+/g, " ")),
    ).toEqual([
      "2026-11-28 built X1 and U1",
      "2026-11-28 14:05 measured U1.QA=4 MHz 50 %",
      "2026-11-28 14:05 found pin 3 of U2 was bent",
    ]);
  });

  test("refuses a pin that the board has not, a value that says nothing and a day that is none, and stays as it is", async () => {
    const before = await readFile(notebook, "utf8");
    for (const [option, text, why] of [
      ["--measured", "U1.40=low", /no such pin/],
      ["--measured", "U1.QA=wobbly", /low, high, open, a frequency/],
      ["--measured", "U1.QA", /a place and what was measured/],
      ["--found", " ", /what was found was expected/],
    ] as const) {
      const { exitCode, err } = await note(option, text);
      expect([exitCode, err]).toEqual([2, expect.stringMatching(why)]);
    }
    expect((await note("--note", "x", "--at", "2026-11-31")).err).toContain("--at: 2026-11-31: there is no such day");
    expect(await readFile(notebook, "utf8")).toBe(before);
  });

  test("tells a line that is no entry by file, line and column, and shows the others", async () => {
    await writeFile(notebook, "2026-11-28 built U1\n2026-11-28 soldered U2\n");
    const { exitCode, out } = await note();
    expect(exitCode).toBe(1);
    expect(out).toContain("2026-11-28        built     U1\n");
    expect(out).toContain(`${notebook}:2:12: soldered: built, measured, found, changed, note was expected`);
    await note("--note", "more", "--at", "2026-11-29");
    expect(await readFile(notebook, "utf8")).toBe(
      "2026-11-28 built U1\n2026-11-28 soldered U2\n2026-11-29 note more\n",
    );
  });

  test("that is a folder is told in one line", async () => {
    await rm(notebook);
    await mkdir(notebook);
    const { exitCode, err } = await note("--note", "x");
    expect([exitCode, err.trim()]).toEqual([2, `${notebook}: is a folder; a file was expected`]);
  });
});
