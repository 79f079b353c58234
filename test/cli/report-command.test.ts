import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { harbourLamp } from "../paper/board-fixture.js";
import { outcomeOf } from "./surroundings.js";

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "report-"));
});
afterAll(async () => rm(folder, { recursive: true }));

test(
  "`report` of the tide board answers every question and writes them into one page",
  { timeout: 300_000 },
  async () => {
    const page = join(folder, "tide-board.html");
    const { out } = await outcomeOf(commands, ["report", "examples/tide-board.circuit.yaml", "--output", page]);
    expect(out).toMatch(/^Does every slot fit\? Every slot fits: \d+ rules at \d+ places hold; the worst margin is/);
    expect(out).toContain("Will the monitor lock? Yes: 31.469 kHz, 59.94 Hz");
    expect(out).toContain("What will I see? A picture of 640 by 480 dots, nothing out of place.");
    expect(out).toContain(`The report: ${page}`);
    const html = await readFile(page, "utf8");
    expect(html).toContain("<h1>Tide board</h1>");
    expect(html).toContain("Memory cycle of Tide board, 635.55 ns");
    expect(html).toContain("What holds: the tightest place of each rule");
    expect(html).toContain("the whole state comes back every 420,000, so nothing else can occur");
    expect(html).toContain('<img class="picture" src="data:image/png;base64,');
  },
);

test("`report` of a board that names no picture still says what to wire, beside the circuit file", async () => {
  const file = join(folder, "lamp.circuit.yaml");
  const whole = harbourLamp.replace(/to come: .*\n/, "").replace("2D: VSYNC_NEXT", "2D: low");
  await writeFile(file, whole.replace(/picture: .*\n/, ""));
  const { exitCode, out } = await outcomeOf(commands, ["report", file]);
  expect(out).toContain("What do I wire? ");
  expect(out).toContain("Does every slot fit? ");
  expect(exitCode).toBe(1);
  expect(out).toContain(join(folder, "lamp.report.html"));
  expect(await readFile(join(folder, "lamp.report.html"), "utf8")).not.toContain("Will the monitor lock?");
});
