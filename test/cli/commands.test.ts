import { readFile } from "node:fs/promises";
import { describe, expect, test } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "./surroundings.js";

describe("the command table", () => {
  test("has a name only once", () => {
    const names = commands.map((command) => command.name);
    expect(new Set(names).size).toBe(names.length);
  });

  test.each(commands.map((command) => [command.name] as const))("explains `%s` with --help", async (name) => {
    const { exitCode, out } = await outcomeOf(commands, [name, "--help"]);
    expect(exitCode).toBe(0);
    expect(out).toContain(`Usage: dotwright ${name}`);
    expect(out).toContain("Examples:");
  });

  test.each(commands.map((command) => [command.name, command] as const))(
    "gives only options of `%s` that exist in its examples",
    (name, { examples, options }) => {
      const known = new Set([
        "--json",
        "--quiet",
        ...Object.keys(options).map((option) => `--${option.replace(/[A-Z]/g, (c) => `-${c.toLowerCase()}`)}`),
      ]);
      expect(examples.length).toBeGreaterThan(0);
      for (const example of examples) {
        expect(example.startsWith(`npx dotwright ${name}`)).toBe(true);
        for (const option of example.match(/--[a-z-]+/g) ?? []) expect(known).toContain(option);
      }
    },
  );

  test("prints the version that package.json states", async () => {
    const stated: unknown = JSON.parse(await readFile("package.json", "utf8"));
    const { out } = await outcomeOf(commands, ["version", "--json"]);
    expect(stated).toMatchObject({ version: (JSON.parse(out) as { dotwright: string }).dotwright });
  });
});
