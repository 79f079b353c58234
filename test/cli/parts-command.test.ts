import { mkdtemp, readFile, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, test } from "vitest";
import { DEFAULTS } from "../../src/circuit/shape.js";
import { commands } from "../../src/cli/commands.js";
import { partsCommand } from "../../src/cli/parts-command.js";
import { outcomeOf } from "./surroundings.js";

test("`parts 74AHC574` prints pins, function, delays, requirements, packages, substitutes and sources", async () => {
  const { exitCode, out } = await outcomeOf(commands, ["parts", "74AHC574"]);
  expect(exitCode).toBe(0);
  const headings = ["Pins, seen", "Function", "Delays", "Requirements", "Packages", "In its place", "Sources"];
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
