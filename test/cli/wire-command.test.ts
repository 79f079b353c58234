import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "./surroundings.js";

const tideBoard = "examples/tide-board.circuit.yaml";
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "wire-"));
});
afterAll(async () => rm(folder, { recursive: true }));

test("`wire` prints parts, wires with boxes, and pin maps, 80 columns wide", async () => {
  const { exitCode, out } = await outcomeOf(commands, ["wire", tideBoard]);
  expect(exitCode).toBe(0);
  expect(out).toContain("Tide board: what to wire");
  expect(out).toMatch(/\[ \] +\d+ {2}OSC +1\/1 {2}X1 pin 8 OUT +U1 pin 3 1CLK/);
  expect(out).toContain("62256-70");
  expect(out.split("\n").filter((line) => line.length > 80)).toEqual([]);
});

test("`wire --html` writes a page to print", async () => {
  const page = join(folder, "wiring.html");
  const { exitCode, out } = await outcomeOf(commands, ["wire", tideBoard, "--html", page]);
  expect(exitCode).toBe(0);
  expect(out).toContain(page);
  expect(await readFile(page, "utf8")).toContain("<h1>Tide board: what to wire</h1>");
});

test("`wire --json` gives the list as data", async () => {
  const { out } = await outcomeOf(commands, ["wire", tideBoard, "--json"]);
  const list = JSON.parse(out) as { wires: number; sections: { blocks: { steps: { number: number }[] }[] }[] };
  const steps = list.sections.flatMap(({ blocks }) => blocks.flatMap((block) => block.steps));
  expect(steps.at(-1)?.number).toBe(steps.length);
  expect(list.wires).toBeGreaterThan(300);
});

test("`wire` refuses a file with mistakes, one line each", async () => {
  const { exitCode, err } = await outcomeOf(commands, ["wire", "package.json"]);
  expect(exitCode).toBe(2);
  expect(err).toMatch(/^package\.json:\d+:\d+: /);
});
