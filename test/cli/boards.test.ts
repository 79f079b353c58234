import { execFileSync } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { fs } from "../../src/quantity/index.js";
import { type BoardReport, statisticsOf } from "../../src/simulation/index.js";
import { lateClock } from "./late-clock.js";
import { outcomeOf } from "./surroundings.js";

/** Threads take seconds to begin where the machine is busy. */
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

let folder: string;
let file: string;
beforeAll(async () => {
  const root = fileURLToPath(new URL("../../", import.meta.url));
  execFileSync("node", ["scripts/ensure-built.mjs"], { cwd: root });
  folder = await mkdtemp(join(tmpdir(), "boards-"));
  file = join(folder, "late.circuit.yaml");
  await writeFile(file, lateClock);
});
afterAll(async () => rm(folder, { recursive: true }));

describe("`simulate --boards`", () => {
  test("says how many boards fail, in what, by how much and on which seed, and draws the worst", async () => {
    const { exitCode, out } = await outcomeOf(commands, [
      "simulate",
      file,
      ...["--boards", "12", "--frames", "1", "--workers", "1"],
    ]);
    expect(exitCode).toBe(1);
    expect(out).toMatch(/^\d+ of 12 boards shows? a violation/);
    expect(out).toMatch(/U2 2D to 2CLK: set-up tsu/);
    expect(out).toMatch(/^LATE +[_‾/\\|]{40}/m);
  });

  test("says the same with any number of threads", () => {
    const main = fileURLToPath(new URL("../../dist/cli/main.js", import.meta.url));
    const run = (workers: number) => {
      const args = [main, "simulate", file, "--boards", "7", "--frames", "1", "--workers", String(workers), "--json"];
      try {
        return execFileSync("node", args, { encoding: "utf8" });
      } catch (error) {
        // It exits with 1 where boards fail.
        return (error as { readonly stdout: string }).stdout;
      }
    };
    const [one, two, three] = [run(1), run(2), run(3)];
    expect(JSON.parse(one).boards).toBe(7);
    expect(two).toBe(one);
    expect(three).toBe(one);
  });
});

describe("statistics of boards", () => {
  const fault = fc.record({
    place: fc.constantFrom(
      "U1 D to CLK: set-up tsu",
      "U2 CLK: pulse width tw low",
      "MD0: contention of U3 1Y1 and U4 Q",
    ),
    actual: fc.integer({ min: -50, max: 9 }).map((n) => fs(n)),
  });
  const reports = fc.array(fc.uniqueArray(fault, { selector: ({ place }) => place }), { maxLength: 12 }).map((boards) =>
    boards.map((faults, index): BoardReport => {
      const common = { required: fs(10), firstAt: fs(1), worstAt: fs(2), count: 1, nets: [] };
      return { seed: index + 1, events: 5, faults: faults.map((one) => ({ ...common, ...one })) };
    }),
  );

  test("are the same in whatever order the boards come", () => {
    fc.assert(
      fc.property(
        reports.chain((all) => fc.tuple(fc.constant(all), fc.shuffledSubarray(all, { minLength: all.length }))),
        ([inOrder, shuffled]) => {
          expect(statisticsOf(shuffled)).toEqual(statisticsOf(inOrder));
        },
      ),
    );
  });

  test("count each board once, and keep the worst of each place", () => {
    fc.assert(
      fc.property(reports, (all) => {
        const { boards, faulty, faults } = statisticsOf(all);
        expect(boards).toBe(all.length);
        expect(faulty).toBe(all.filter((one) => one.faults.length > 0).length);
        for (const { place, worst, boards: seeds } of faults) {
          const own = all.flatMap(({ faults: list }) => list.filter((one) => one.place === place));
          expect(seeds).toHaveLength(own.length);
          expect(worst.actual).toBe(Math.min(...own.map(({ actual }) => actual)));
        }
      }),
    );
  });
});
