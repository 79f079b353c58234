import { mkdtemp, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { DEFAULTS } from "../../src/circuit/shape.js";
import { commands } from "../../src/cli/commands.js";
import { partsCommand } from "../../src/cli/parts-command.js";
import { outcomeOf } from "./surroundings.js";

test("`parts 74AHC574` prints pins, function, delays, requirements, packages, substitutes and sources", async () => {
  const { exitCode, out } = await outcomeOf(commands, ["parts", "74AHC574"]);
  expect(exitCode).toBe(0);
  const headings = [
    "Pins, seen",
    "Function",
    "Delays",
    "Requirements",
    "Levels",
    "Packages",
    "In its place",
    "Sources",
  ];
  const places = headings.map((heading) => out.indexOf(`\n${heading}`));
  expect(places.every((place) => place > 0)).toBe(true);
  expect(places).toEqual([...places].sort((a, b) => a - b));
  expect(out).toContain("in  1 │ OE#     VCC │ 20 supply");
});

test("`parts` with words, a largest delay and a package lists what meets all of them", async () => {
  const args = ["parts", "buffer", "--delay", "12 ns", "--package", "DIP", "--json"];
  const { out } = await outcomeOf(commands, args);
  const { parts } = JSON.parse(out) as { parts: { number: string; slowestNs: number; package: string }[] };
  expect(parts.length).toBeGreaterThan(0);
  expect(parts.every(({ slowestNs, package: name }) => slowestNs <= 12 && name.startsWith("DIP"))).toBe(true);
});

test("`parts` prints its whole catalogue no wider than 80 columns", async () => {
  const { out } = await outcomeOf(commands, ["parts"]);
  expect(out).toContain("74HC163");
  expect(out.split("\n").filter((line) => line.length > 80)).toEqual([]);
});

test("`parts --supply --ambient` choose the figures: a 74HC574 is slower when warm", async () => {
  const slowest = async (ambient: string) => {
    const { out } = await outcomeOf(commands, ["parts", "74HC574", "--ambient", ambient, "--json"]);
    const { delays } = JSON.parse(out) as { delays: { from: string; max: number }[] };
    return delays.find(({ from }) => from === "CLK ↑")?.max ?? Number.NaN;
  };
  expect(await slowest("0 to 70 °C")).toBeGreaterThan(await slowest("25 °C"));
  const { out } = await outcomeOf(commands, ["parts", "74HC574", "--supply", "3.3 V"]);
  expect(out).toContain("not covered");
});

test("`parts --maker` keeps to one maker's sheets", async () => {
  const { out } = await outcomeOf(commands, ["parts", "74HC574", "--maker", "Texas Instruments"]);
  expect(out).toContain("Figures for 4.5 to 5.5 V, 0 to 70 °C, Texas Instruments.");
});

test("`parts` of a number that is not on record names near ones with exit code 1", async () => {
  const { exitCode, out } = await outcomeOf(commands, ["parts", "74XY163"]);
  expect(exitCode).toBe(1);
  expect(out).toMatch(/^74HC163 +the same function/m);
});

test("`parts` refuses a supply that is none, in one line", async () => {
  const { exitCode, err } = await outcomeOf(commands, ["parts", "74HC163", "--supply", "much"]);
  expect(exitCode).toBe(2);
  expect(err).toMatch(/^dotwright: --supply: .*\n$/);
});

test("`parts` takes the conditions that a circuit file has where it states none", () => {
  expect(partsCommand.options).toMatchObject({
    supply: { default: DEFAULTS.supply },
    ambient: { default: DEFAULTS.ambient },
  });
});

test("`parts PART --html FILE` writes the page of one part, and of nothing else", async () => {
  const folder = await mkdtemp(join(tmpdir(), "parts-"));
  const file = join(folder, "register.html");
  const { exitCode, out } = await outcomeOf(commands, ["parts", "74AHC574", "--html", file]);
  expect([exitCode, out]).toEqual([0, `The page of 74AHC574: ${file}\n`]);
  expect(await readFile(file, "utf8")).toContain("<h1>74AHC574: octal D flip-flop");
  for (const args of [["74AHC57"], []]) {
    const refused = await outcomeOf(commands, ["parts", ...args, "--html", join(folder, "none.html")]);
    expect(refused.exitCode).toBe(2);
    expect(refused.err).toContain("--html writes the page of one part");
  }
  expect(await readdir(folder)).toEqual(["register.html"]);
  await rm(folder, { recursive: true });
});

const drawer = fileURLToPath(new URL("../../examples/drawer.parts.yaml", import.meta.url));

test("`parts --own` lists the parts of the builder's file, and those alone", async () => {
  const { exitCode, out } = await outcomeOf(commands, ["parts", "--own", drawer, "--json"]);
  expect(exitCode).toBe(0);
  const { parts } = JSON.parse(out) as { parts: { number: string }[] };
  expect(parts.map(({ number }) => number).sort()).toEqual(
    ["74ABT244", "74HC379", "74HC4078", "74HC86", "FM2114-200", "FM256-45"].sort(),
  );
});

test("`parts 74HC86 --own` prints the builder's figures before those on record, with the file in the source", async () => {
  const { out } = await outcomeOf(commands, ["parts", "74HC86", "--own", drawer]);
  expect(out.replaceAll(/\n +/g, " ")).toContain("in " + drawer);
  const { out: plain } = await outcomeOf(commands, ["parts", "74HC86"]);
  expect(plain).not.toContain("drawer");
});

test("`parts --own` finds words in both, and what neither has is not found", async () => {
  const { out } = await outcomeOf(commands, ["parts", "static RAM", "--own", drawer]);
  expect(out).toContain("FM2114-200");
  expect(out).toContain("62256-70");
  expect((await outcomeOf(commands, ["parts", "74HC4079", "--own", drawer])).exitCode).toBe(1);
});

test("`parts --own` says every mistake of the file with its place, and takes no circuit file for one", async () => {
  const folder = await mkdtemp(join(tmpdir(), "own-"));
  try {
    const file = join(folder, "mine.parts.yaml");
    await writeFile(file, (await readFile(drawer, "utf8")).replaceAll("max: 30 ns", "max: 30"));
    const { exitCode, err } = await outcomeOf(commands, ["parts", "74HC163", "--own", file]);
    expect(exitCode).toBe(2);
    expect(err).toMatch(/mine\.parts\.yaml:\d+:\d+: .* cannot be the number 30/);
    const board = fileURLToPath(new URL("../../examples/harbour-lamps.circuit.yaml", import.meta.url));
    expect((await outcomeOf(commands, ["parts", "--own", board])).err).toContain("'dotwright parts' is missing");
  } finally {
    await rm(folder, { recursive: true });
  }
});
