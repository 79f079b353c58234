import { describe, expect, test } from "vitest";
import { planCommand } from "../../src/cli/plan-command.js";
import { outcomeOf } from "./surroundings.js";

const tideBoard = ["plan", "--rasters", "640x480@60", "--oscillators", "25.175 MHz", "--picture", "320x240"];
const plan = (...more: string[]) => outcomeOf([planCommand], [...tideBoard, "--bits", "1", ...more]);

describe("`plan`", () => {
  test("prints plans with their number, how they are counted and why, no wider than 80 columns", async () => {
    const { exitCode, out } = await plan("--memory", "62256-70", "--sharing", "write latch");
    expect(exitCode).toBe(0);
    expect(out).toContain("A line is 40+1+6+3 = 50 cells of 8 dots, 31.469 kHz");
    expect(out).toContain("480+10+2+33 = 525 lines");
    expect(out.split("\n").filter((line) => line.length > 80)).toEqual([]);
  });

  test("with --json gives every plan that nothing else beats, whatever --most says", async () => {
    const { out } = await plan("--most", "1", "--json");
    const { plans, combinations } = JSON.parse(out) as { plans: { number: number }[]; combinations: number };
    expect(plans.length).toBeGreaterThan(1);
    expect(plans.map(({ number }) => number)).toEqual(plans.map((_, index) => index + 1));
    expect(combinations).toBeGreaterThan(1000);
  });

  test("says what stands in the way of wishes that nothing meets, and ends with 1", async () => {
    const { exitCode, out } = await plan("--memory", "62256-70", "--chips", "20");
    expect(exitCode).toBe(1);
    expect(out).toMatch(/more chips \(\d+ in place of 20\)/);
  });

  test("reads a wish file, over which options go", async () => {
    const file = "examples/harbour-clock.wishes.yaml";
    const { out } = await outcomeOf([planCommand], ["plan", file, "--picture", "640x480", "--chips", "40", "--json"]);
    const { plans } = JSON.parse(out) as { plans: { columns: number; sharing: string }[] };
    expect(new Set(plans.map(({ columns }) => columns)).size).toBeLessThanOrEqual(1);
    expect(plans.every(({ sharing }) => ["write latch", "wait states"].includes(sharing))).toBe(true);
  });

  test.each([
    [["--picture", "large"], /--picture: 'large' is no size of a picture/],
    [["--sharing", "sometimes"], /--sharing: 'sometimes' is none of write latch/],
    [["--memory", "74HC00"], /--memory: 74HC00 is no static RAM/],
    [["--bits", "x"], /--bits: 'x' is no number of bits/],
  ])("refuses %j with one line", async (args, expected) => {
    const { exitCode, err } = await outcomeOf([planCommand], ["plan", ...args]);
    expect(exitCode).toBe(2);
    expect(err).toMatch(expected);
  });
});
