import { describe, expect, test } from "vitest";
import { progressOn } from "../../src/cli/progress.js";
import { silentProgress } from "../../src/judging/index.js";

/** A stream and a clock of which each report moves the hands by `step` milliseconds. */
function recording(isTTY: boolean, columns?: number) {
  const writes: string[] = [];
  let time = 0;
  const stream = { isTTY, ...(columns === undefined ? {} : { columns }), write: (text: string) => writes.push(text) };
  return { writes, progress: progressOn(stream, () => time), wait: (milliseconds: number) => (time += milliseconds) };
}

describe("progress", () => {
  test("stays silent when the work is over within a second", async () => {
    const { writes, progress, wait } = recording(true);
    const answer = await progress.during("Proving", (report) => {
      for (let step = 0; step < 99; step++) {
        wait(10);
        report(step, 99);
      }
      return 7;
    });
    expect(answer).toBe(7);
    expect(writes).toEqual([]);
  });

  test("says what is being done of many things", async () => {
    const { writes, progress, wait } = recording(true);
    await progress.during("trying it otherwise", (report) => {
      wait(1000);
      report(1, 4, "the longest wires");
    });
    expect(writes[0]).toContain("trying it otherwise: the longest wires  ======....");
  });

  test("keeps one line up to date on a terminal and takes it away at the end", async () => {
    const { writes, progress, wait } = recording(true);
    await progress.during("Proving one frame", (report) => {
      wait(1000);
      report(1, 4);
      wait(50);
      report(2, 4);
      wait(50);
      report(3, 4);
    });
    expect(writes).toEqual([
      "\r\u001b[KProving one frame  ======..................  25 %  1 s",
      "\r\u001b[KProving one frame  ==================......  75 %  1 s",
      "\r\u001b[K",
    ]);
  });

  test("writes a plain line every five seconds where there is no terminal", async () => {
    const { writes, progress, wait } = recording(false);
    await progress.during("Simulating", (report) => {
      for (let second = 1; second <= 12; second++) {
        wait(1000);
        report(second, 12);
      }
    });
    expect(writes).toEqual([
      "Simulating  ==......................  8 %  1 s\n",
      "Simulating  ============............  50 %  6 s\n",
      "Simulating  ======================..  91 %  11 s\n",
    ]);
  });

  test("never runs over the edge of the terminal", async () => {
    const { writes, progress, wait } = recording(true, 20);
    await progress.during("A label far longer than the terminal", (report) => {
      wait(1000);
      report(1, 2);
    });
    expect(writes[0]).toBe("\r\u001b[KA label far longer ");
  });

  test("shows only the time while the total is not known, and never more than 100 %", async () => {
    const { writes, progress, wait } = recording(false);
    await progress.during("Reading", (report) => {
      wait(2000);
      report(5, 0);
      wait(5000);
      report(5, 4);
    });
    expect(writes).toEqual(["Reading  2 s\n", "Reading  ========================  100 %  7 s\n"]);
  });

  test("takes the line away when the work fails, and lets the error through", async () => {
    const { writes, progress, wait } = recording(true);
    const work = progress.during("Proving", (report) => {
      wait(1000);
      report(1, 2);
      throw new Error("no oscillator");
    });
    await expect(work).rejects.toThrow("no oscillator");
    expect(writes.at(-1)).toBe("\r\u001b[K");
  });

  test("that is silent still does the work", async () => {
    expect(await silentProgress.during("Proving", async (report) => (report(1, 1), "holds"))).toBe("holds");
  });
});
