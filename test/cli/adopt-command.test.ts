import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { readCircuit, writeCsv } from "../../src/circuit/index.js";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "./surroundings.js";

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "adopt-"));
});
afterAll(async () => rm(folder, { recursive: true }));

describe("a board that is wired already", () => {
  test("leaves as a wiring list and comes back as a circuit file with the same wires", async () => {
    const [list, file] = [join(folder, "board.csv"), join(folder, "board.circuit.yaml")];
    const wired = await outcomeOf(commands, ["wire", "examples/tide-board.circuit.yaml", "--csv", list]);
    expect(wired).toMatchObject({ exitCode: 0 });
    const adopted = await outcomeOf(commands, ["adopt", list, "--output", file]);
    expect(adopted).toMatchObject({ exitCode: 0 });
    expect(adopted.out).toContain(file);
    const { circuit } = readCircuit(await readFile(file, "utf8"), file);
    expect(circuit && writeCsv(circuit)).toBe(await readFile(list, "utf8"));
  });

  test("never overwrites a circuit file", async () => {
    const [list, file] = [join(folder, "lamp.csv"), join(folder, "lamp.circuit.yaml")];
    await writeFile(list, "chip,part,pin,net\nU1,74HC04,[1..6]A,low\nU1,74HC04,[1..6]Y,open\n");
    await writeFile(file, "mine");
    const { exitCode, err } = await outcomeOf(commands, ["adopt", list, "--output", file]);
    expect(exitCode).toBe(2);
    expect(err).toMatch(/there already/);
    expect(await readFile(file, "utf8")).toBe("mine");
  });

  test("has each mistake in its list told by line and column", async () => {
    const list = join(folder, "wrong.csv");
    await writeFile(list, "chip,part,pin,net\nU1,74HC04,1Z,low\nU2,74HX04,1A,low\n");
    const { exitCode, err } = await outcomeOf(commands, ["adopt", list]);
    expect(exitCode).toBe(2);
    expect(err).toMatch(/wrong\.csv:2:\d+: /);
    expect(err).toMatch(/wrong\.csv:3:\d+: /);
  });

  test("is no circuit file yet", async () => {
    const { exitCode, err } = await outcomeOf(commands, ["prove", "board.csv"]);
    expect(exitCode).toBe(2);
    expect(err).toMatch(/dotwright adopt board\.csv/);
  });
});
