import { describe, expect, expectTypeOf, test } from "vitest";
import { BadInput } from "../../src/cli/bad-input.js";
import { type Answer, defineCommand } from "../../src/cli/command.js";
import { outcomeOf } from "./surroundings.js";

/** A command that answers with what it was given. */
const measure = defineCommand({
  name: "measure",
  summary: "Measure a slot",
  arguments: { circuit: { summary: "circuit file" }, net: { summary: "net to measure", optional: true } },
  options: {
    output: { kind: "text", value: "FILE", summary: "file to write" },
    pictureScale: { kind: "number", value: "N", summary: "scale", default: 1, least: 1, greatest: 8, whole: true },
    limit: { kind: "number", value: "NS", summary: "limit in nanoseconds" },
    delays: { kind: "choice", choices: ["typical", "latest"], summary: "which delays", default: "typical" },
    strict: { kind: "flag", summary: "no doubt allowed" },
    nets: { kind: "list", value: "NETS", summary: "nets to show" },
  },
  examples: ["npx dotwright measure tide.circuit.yaml --delays latest"],
  run: ({ arguments: given, options }) => {
    expectTypeOf(given.circuit).toEqualTypeOf<string>();
    expectTypeOf(given.net).toEqualTypeOf<string | undefined>();
    expectTypeOf(options.output).toEqualTypeOf<string | undefined>();
    expectTypeOf(options.pictureScale).toEqualTypeOf<number>();
    expectTypeOf(options.limit).toEqualTypeOf<number | undefined>();
    expectTypeOf(options.delays).toEqualTypeOf<"typical" | "latest">();
    expectTypeOf(options.strict).toEqualTypeOf<boolean>();
    expectTypeOf(options.nets).toEqualTypeOf<readonly string[]>();
    return { exitCode: 0, text: "measured", json: { given, options } };
  },
});

function commandThat(run: () => Answer) {
  return [defineCommand({ name: "act", summary: "Act", arguments: {}, options: {}, examples: [], run })];
}

const failing = commandThat(() => ({ exitCode: 1, text: "set-up fails", json: { margin: -12n, far: 2n ** 80n } }));

describe("a command line", () => {
  test("hands arguments and options over with their types, defaults included", async () => {
    const { exitCode, out } = await outcomeOf([measure], ["measure", "tide.circuit.yaml", "--json"]);
    expect(exitCode).toBe(0);
    expect(JSON.parse(out)).toEqual({
      given: { circuit: "tide.circuit.yaml" },
      options: { pictureScale: 1, delays: "typical", strict: false, nets: [] },
    });
  });

  test("takes every kind of option", async () => {
    const line = "measure a.yaml DOT --output o.png --picture-scale 3 --limit -1.5e2 --delays latest --strict --json";
    const { out } = await outcomeOf([measure], [...line.split(" "), "--nets", "A, B", "--nets", "VA[0..14]"]);
    expect(JSON.parse(out)).toEqual({
      given: { circuit: "a.yaml", net: "DOT" },
      options: {
        output: "o.png",
        pictureScale: 3,
        limit: -150,
        delays: "latest",
        strict: true,
        nets: ["A", "B", "VA[0..14]"],
      },
    });
  });

  test("prints the text, or with --json the data in its place, and gives the answer's exit code", async () => {
    expect(await outcomeOf(failing, ["act"])).toEqual({ exitCode: 1, out: "set-up fails\n", err: "" });
    const asData = await outcomeOf(failing, ["act", "--json"]);
    expect(asData).toMatchObject({ exitCode: 1, err: "" });
    expect(JSON.parse(asData.out)).toEqual({ margin: -12, far: "1208925819614629174706176" });
  });

  test.each([
    ["no such command", ["mesure"], "dotwright: unknown command 'mesure' (Did you mean measure?)\n"],
    ["no such option", ["measure", "a", "--strikt"], "dotwright: unknown option '--strikt' (Did you mean --strict?)\n"],
    ["a missing argument", ["measure"], "dotwright: missing required argument 'circuit'\n"],
    ["one argument too many", ["measure", "a", "b", "c"], /^dotwright: too many arguments for 'measure'.*\n$/],
    ["a word for a number", ["measure", "a", "--limit", "x"], /'x' is invalid. Expected a number.\n$/],
    ["an empty number", ["measure", "a", "--limit", ""], /Expected a number.\n$/],
    ["half a pixel", ["measure", "a", "--picture-scale", "1.5"], /Expected a whole number from 1 up to 8.\n$/],
    [
      "a number beyond its limit",
      ["measure", "a", "--picture-scale", "9"],
      /Expected a whole number from 1 up to 8.\n$/,
    ],
    ["no such choice", ["measure", "a", "--delays", "fast"], /Expected one of typical, latest.\n$/],
  ])("refuses %s with exit code 2 and one line", async (_what, args, line) => {
    const { exitCode, out, err } = await outcomeOf([measure], args);
    expect({ exitCode, out }).toEqual({ exitCode: 2, out: "" });
    expect(err).toMatch(line);
    expect(err.trimEnd().split("\n")).toHaveLength(1);
  });

  test("shows every mistake in the input on its own line, with exit code 2", async () => {
    const refusing = commandThat(() => {
      throw new BadInput([
        { text: "tide.circuit.yaml:3:5: no pin `CLKR` on 74HC163", details: { line: 3, column: 5 } },
        { text: "tide.circuit.yaml:9:1: two oscillators" },
      ]);
    });
    const { exitCode, err } = await outcomeOf(refusing, ["act"]);
    expect(exitCode).toBe(2);
    expect(err).toBe("tide.circuit.yaml:3:5: no pin `CLKR` on 74HC163\ntide.circuit.yaml:9:1: two oscillators\n");
    const { out } = await outcomeOf(refusing, ["act", "--json"]);
    expect(JSON.parse(out)).toEqual({
      problems: [
        { text: "tide.circuit.yaml:3:5: no pin `CLKR` on 74HC163", line: 3, column: 5 },
        { text: "tide.circuit.yaml:9:1: two oscillators" },
      ],
    });
  });

  test("turns an unexpected error into one line with exit code 3, and shows the stack only on request", async () => {
    const faulty = commandThat(() => {
      throw new TypeError("margin is\nundefined");
    });
    const plain = await outcomeOf(faulty, ["act"]);
    expect(plain.exitCode).toBe(3);
    expect(plain.err).toBe("dotwright: unexpected error: margin is undefined (DOTWRIGHT_DEBUG=1 shows where)\n");
    const debugged = await outcomeOf(faulty, ["act"], { debug: true });
    expect(debugged.err).toContain("program.test.ts");
  });

  test("shows progress of slow work on standard error, and none with --json or --quiet", async () => {
    const slow = defineCommand({
      name: "prove",
      summary: "Prove",
      arguments: {},
      options: {},
      examples: [],
      run: async ({ progress }) => {
        const text = await progress.during("Proving", (report) => {
          report(1, 2);
          return "holds";
        });
        return { exitCode: 0, text, json: {} };
      },
    });
    const clock = () => {
      let time = 0;
      return () => (time += 2000);
    };
    expect((await outcomeOf([slow], ["prove"], { now: clock() })).err).toContain("Proving");
    expect((await outcomeOf([slow], ["prove", "--quiet"], { now: clock() })).err).toBe("");
    expect((await outcomeOf([slow], ["prove", "--json"], { now: clock() })).err).toBe("");
  });
});

describe("the help", () => {
  test("lists every command with its summary and the exit codes", async () => {
    const { exitCode, out } = await outcomeOf([measure], ["--help"]);
    expect(exitCode).toBe(0);
    expect(out).toMatch(/measure .*Measure a slot/);
    expect(out).toContain("Exit codes:");
  });

  test("of a command names its arguments, options, defaults and examples", async () => {
    const { exitCode, out } = await outcomeOf([measure], ["measure", "--help"]);
    expect(exitCode).toBe(0);
    expect(out).toContain("Usage: dotwright measure [options] <circuit> [net]");
    expect(out).toMatch(/--picture-scale <N> +scale \(default: 1\)/);
    expect(out).toContain("--delays <typical|latest>");
    expect(out).toMatch(/--json +print the answer as JSON/);
    expect(out).toContain("npx dotwright measure tide.circuit.yaml --delays latest");
  });

  test("is shown on standard error when no command is given, and that is no success", async () => {
    const { exitCode, out, err } = await outcomeOf([measure], []);
    expect({ exitCode, out }).toEqual({ exitCode: 2, out: "" });
    expect(err).toContain("Usage: dotwright COMMAND");
  });
});
