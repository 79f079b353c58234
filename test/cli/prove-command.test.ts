import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "./surroundings.js";

/** A clock halved, four bits counted, two of them decoded and sampled: a lamp that shows the tide's turn. */
const gauge = (can: string, flipFlop: string, more = "") => `dotwright: 1
title: Tide gauge
raster: 640x480@60
build: printed board
picture: {size: 320 x 240, hsync: HS, vsync: VS, video: LAMP}
${more}
chips:
  X1: {part: ${can}, pins: {OUT: OSC}}
  U1:
    part: ${flipFlop}
    pins:
      1CLK: OSC
      1D, 1Q#: HALF#
      1Q, 2CLK: HALF
      2D: ODD
      2Q: LAMP
      2Q#: open
      1PRE#, 1CLR#, 2PRE#, 2CLR#: high
  U2:
    part: 74HC163
    pins: {CLK: HALF, "CLR#, LOAD#, ENP, ENT": high, "A, B, C, D": low, "Q[A..D]": "N[0..3]", RCO: open}
  U3:
    part: 74HC86
    pins:
      1A: N0
      1B: N1
      1Y: ODD
      2A: N2
      2B, 3B: high
      2Y: HS
      3A: N3
      3Y: VS
      4A, 4B: low
      4Y: open
`;

let folder: string;
const file = (name: string) => join(folder, name);
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "prove-"));
  await writeFile(file("holds.yaml"), gauge("OSC-10MHz", "74HC74"));
  await writeFile(file("fails.yaml"), gauge("OSC-25.175MHz", "74AHCT74"));
});
afterAll(async () => rm(folder, { recursive: true }));

const run = (...args: readonly string[]) => outcomeOf(commands, ["prove", ...args]);

describe("`prove` in words", () => {
  test("says with --attained of how many margins some board has exactly as much", async () => {
    const { out, exitCode } = await run(file("holds.yaml"), "--attained");
    expect(exitCode).toBe(0);
    expect(out).toMatch(/^Each of the \d+ margins is that of a board within all limits\.$/m);
    const { out: data } = await run(file("holds.yaml"), "--attained", "--json");
    expect(data).toContain('"isWorst": true');
  });

  test("says in one line that every slot fits, with the tightest place of each rule and what is not seen", async () => {
    const { exitCode, out, err } = await run(file("holds.yaml"));
    expect(exitCode).toBe(0);
    expect(err).toBe("");
    expect(out).toMatch(/^Every slot fits: \d+ rules at \d+ places hold; the worst margin is 5\.00 ns, hold U1 1D\.\n/);
    expect(out).toMatch(/holds +set-up U1 1D, 2D +25\.00 +54\.99 +29\.99 +period \d+ of 32/);
    expect(out).toContain("Not seen: ringing");
    expect(out).toContain("* rests on a least delay that no sheet states.");
  });

  test("says what fails, by how much, and the margin at typical delays beside it", async () => {
    const { exitCode, out } = await run(file("fails.yaml"));
    expect(exitCode).toBe(1);
    expect(out).toMatch(/^\d+ of \d+ checks fails?, the worst by \d+\.\d\d ns: /);
    // Two periods of at least 39.72 ns, less 52 ns through U2, 30 through U3 and three wires of 1.
    expect(out).toMatch(/fails +set-up U1 2D +5\.00 +-5\.56 +-10\.56 +29\.44/);
    expect(out).toContain("typical: the margin at typical delays, for information only.");
  });

  test("lists every verdict on request", async () => {
    const few = await run(file("holds.yaml"));
    const all = await run(file("holds.yaml"), "--all");
    const rows = (text: string) => text.split("\n").filter((line) => line.startsWith("holds "));
    expect(rows(all.out).length).toBeGreaterThan(rows(few.out).length);
    expect(all.out).toMatch(/^holds +pulse width U2 CLK low/m);
  });

  test("accounts for one verdict, whatever the case of its name, or for the worst of a group", async () => {
    const { exitCode, out } = await run(file("holds.yaml"), "--why", "SET-UP u1 2d");
    expect(exitCode).toBe(0);
    expect(out).toMatch(/^set-up U1 2D holds with 89\.98 ns to spare\n/);
    expect(out).toMatch(/U2 74HC163 CLK to QA, (rise|fall) +\d+\.\d\d to 52\.00 +-52\.00 +146\.98/);
    expect(out).toMatch(/^margin +89\.98 +holds$/m);
    expect(out).toMatch(/^\[1\] wire of a printed board$/m);
    const group = await run(file("holds.yaml"), "--why", "hold U1 1D, 2D");
    expect(group.out).toMatch(/^hold U1 1D holds with 5\.00 ns to spare\n/);
  });

  test("keeps to 100 columns", async () => {
    for (const name of ["holds.yaml", "fails.yaml"]) {
      for (const more of [[], ["--all"], ["--why", "hold U1 1D"], ["--why", "set-up U1 2D"]]) {
        const { out } = await run(file(name), ...more);
        // The folder's name is as long as the system makes it.
        const lines = out.split("\n").filter((line) => !line.includes(folder));
        expect(lines.filter((line) => line.length > 100)).toEqual([]);
      }
    }
  });
});

describe("`prove --json`", () => {
  interface Told {
    readonly holds: boolean;
    readonly answer: string;
    readonly cycleTicks: number;
    readonly coverage: { readonly text: string };
    readonly verdicts: readonly {
      readonly name: string;
      readonly rule: string;
      readonly state: string;
      readonly counts: boolean;
      readonly required: number;
      readonly available: number;
      readonly margin: number;
      readonly between: { readonly time: number };
      readonly earlier: readonly Step[];
      readonly later: readonly Step[];
    }[];
  }
  interface Step {
    readonly min: number;
    readonly max: number;
    readonly used: "min" | "max";
    readonly cancelled: boolean;
  }
  const used = (steps: readonly Step[]) => steps.reduce((sum, step) => sum + (step.cancelled ? 0 : step[step.used]), 0);

  test("gives the answer, and chains from which every margin can be added up again", async () => {
    const { exitCode, out } = await run(file("fails.yaml"), "--json");
    const told = JSON.parse(out) as Told;
    expect(exitCode).toBe(1);
    expect(told).toMatchObject({ holds: false, cycleTicks: 32, coverage: { cycleTicks: 32 } });
    expect(told.coverage.text).toContain("comes back every 32");
    expect(told.verdicts.length).toBeGreaterThan(5);
    // Logic decides about power-up, no time.
    const timed = told.verdicts.filter(({ rule }) => rule !== "power-up");
    const again = timed.map(({ name, required, between, earlier, later }) => {
      const margin = between.time + used(later) - used(earlier) - required;
      return { name, margin: margin.toFixed(5), state: margin < 0 ? "fails" : "holds", counts: margin < 0 };
    });
    const given = timed.map(({ name, margin, state, counts }) => {
      return { name, margin: margin.toFixed(5), state, counts };
    });
    expect(again).toEqual(given);
  });

  test("gives the account of one verdict", async () => {
    const { out } = await run(file("holds.yaml"), "--json", "--why", "hold U1 1D");
    expect(JSON.parse(out)).toMatchObject({
      name: "hold U1 1D",
      margin: 5,
      restsOn: ["assumed minimum"],
      heading: "hold U1 1D holds with 5.00 ns to spare",
    });
  });
});

describe("exit codes and mistakes", () => {
  test("a failure that the file accepts does not count, and one that is accepted in vain is told", async () => {
    const told = JSON.parse((await run(file("fails.yaml"), "--json")).out) as {
      verdicts: { name: string; state: string; margin: number }[];
    };
    const failing = told.verdicts.filter(({ state }) => state === "fails");
    const entries = [...failing.map(({ name }) => name), "hold U9 1D"].map(
      (name) => `  - {verdict: "${name}", margin: -100 ns, reason: the clock is slowed on the bench}`,
    );
    await writeFile(file("accepted.yaml"), gauge("OSC-25.175MHz", "74AHCT74", `accept:\n${entries.join("\n")}`));
    const { exitCode, out } = await run(file("accepted.yaml"));
    expect(exitCode).toBe(0);
    expect(out.replace(/\s+/g, " ")).toMatch(new RegExp(`; ${failing.length} failures? (is|are) accepted\\.`));
    expect(out).toMatch(/^accepted +set-up U1 2D/m);
    expect(out).toContain('The file accepts "hold U9 1D", but no verdict has that name.');
  });

  test("an unknown verdict is bad input, with the nearest names", async () => {
    const { exitCode, err } = await run(file("holds.yaml"), "--why", "setup U1 2D");
    expect(exitCode).toBe(2);
    expect(err).toBe('no verdict is called "setup U1 2D": did you mean "set-up U1 2D" or "set-up U1 1D"?\n');
  });

  test("a circuit file with mistakes is bad input, one line each", async () => {
    await writeFile(file("mistake.yaml"), gauge("OSC-10MHz", "74HC74").replace("74HC163", "74HC1630"));
    const { exitCode, err } = await run(file("mistake.yaml"));
    expect(exitCode).toBe(2);
    expect(err).toMatch(/mistake\.yaml:\d+:\d+: /);
  });

  test("without an oscillator nothing is covered", async () => {
    await writeFile(
      file("still.yaml"),
      gauge("OSC-10MHz", "74HC74")
        .replace(/ {2}X1: .*\n/, "")
        .replace("chips:", "inputs:\n  OSC: {any time: {high: 1 us, low: 1 us, repeat: 10 us}}\nchips:"),
    );
    const { exitCode, out, err } = await run(file("still.yaml"));
    expect(err).toBe("");
    expect(exitCode).toBe(1);
    expect(out).toContain("Not known: of 1 checks 1 is not covered, first oscillator.");
    const { out: why } = await run(file("still.yaml"), "--why", "oscillator");
    expect(why).toContain("The proof needs exactly one oscillator can");
  });

  test("progress goes to standard error once the work takes longer than a second", async () => {
    let now = 0;
    const { err, out } = await outcomeOf(commands, ["prove", file("holds.yaml")], { now: () => (now += 1500) });
    expect(err).toContain("proving");
    expect(out).not.toContain("proving");
  });
});
