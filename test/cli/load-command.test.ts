import { execFileSync } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { decode } from "fast-png";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "./surroundings.js";

/** The tide board is mapped and shown in some seconds where the machine is busy. */
vi.setConfig({ testTimeout: 120_000 });

const board = "examples/tide-board.circuit.yaml";
let folder: string;
const at = (name: string) => join(folder, name);
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "load-"));
});
afterAll(async () => rm(folder, { recursive: true }));

const load = (...args: readonly string[]) => outcomeOf(commands, ["load", board, ...args]);

describe("`load`", () => {
  test("puts the bundled list on the tide board, and tells what sending it takes", async () => {
    const list = "examples/tide-board.loading.yaml";
    const files = ["--png", at("list.png"), "--out", at("list.hex"), "--c", at("list.c"), "--in-blanking"];
    const { exitCode, out } = await load("--script", list, "--sequence", ...files);
    expect(out).toContain("Tide board: 320 x 240 dots in two colours, in U25 (62256-70, 32,768 bytes).");
    expect(out).toContain("The circuit shows it, dot for dot.");
    // 40 bytes of each of 240 rows, one every 2.6 us as the circuit file asks.
    expect(out).toContain("At least 2.6 µs a byte: 384,615 bytes a second.");
    expect(out).toContain("9,600 bytes: 24.96 ms");
    expect(exitCode).toBe(0);
    const picture = decode(await readFile(at("list.png")));
    expect(picture).toMatchObject({ width: 320, height: 240 });
    const source = await readFile(at("list.c"), "utf8");
    expect(source).toContain("left = 549ul;");
    execFileSync("cc", [
      "-std=c99",
      "-Wall",
      "-Wextra",
      "-pedantic",
      "-Werror",
      "-c",
      "-o",
      at("list.o"),
      at("list.c"),
    ]);

    // What was written shows the same again, and nothing of it is left to send.
    const again = await load(
      "--read",
      at("list.hex"),
      "--png",
      at("again.png"),
      "--changes",
      at("list.hex"),
      "--out",
      at("none.srec"),
    );
    expect(again.out).toContain("The memory image, 0 bytes as S-records");
    expect(await readFile(at("again.png"))).toEqual(await readFile(at("list.png")));
  });

  test("says in one line what is wrong, and writes nothing", async () => {
    await writeFile(
      at("cut.png"),
      new Uint8Array(await readFile("docs/images/tide-board.png").catch(() => new Uint8Array(40))).subarray(0, 60),
    );
    await writeFile(at("empty.bdf"), "STARTFONT 2.1\nCHARS 0\nENDFONT\n");
    await writeFile(at("long.bin"), new Uint8Array(32_769));
    await writeFile(at("wrong.hex"), ":04FEDC00210080CFB3\n:00000001FF\n");
    await writeFile(
      at("list.yaml"),
      "load: 1\nlayers:\n  - picture: { file: harbor.png }\n  - text: { text: A, aline: left }\n",
    );
    await writeFile(at("missing.yaml"), "load: 1\nlayers:\n  - picture: { file: harbour.png }\n");
    const wrong: [string[], RegExp][] = [
      [["--picture", at("cut.png")], /cut\.png: is .*(cut short|damaged|no picture)/],
      [["--text", "A", "--font", at("empty.bdf")], /empty\.bdf: the font has no glyphs/],
      [["--read", at("long.bin")], /long\.bin: reaches up to address 0x8000; the memory ends at 0x7fff/],
      [["--read", at("wrong.hex")], /wrong\.hex: line 1: its checksum is 0xb3; its bytes ask for 0xb2/],
      [["--script", at("list.yaml")], /list\.yaml:4:22: there is no 'aline' in layers > 1 > text/],
      [["--script", at("missing.yaml")], /missing\.yaml:3:22: harbour\.png: .*there is no such file/],
      [["--text", "A", "--at", "1"], /--at 1: x,y in whole dots was expected/],
      [[], /say what to show/],
    ];
    for (const [args, message] of wrong) {
      const { exitCode, err, out } = await load(...args, "--out", at("never.bin"));
      expect(err).toMatch(message);
      expect(err.trim().split("\n")).toHaveLength(1);
      expect(out).toBe("");
      expect(exitCode).toBe(2);
      expect(existsSync(at("never.bin"))).toBe(false);
    }
  });

  test("moves the lap board's picture, and writes no more than what comes in", async () => {
    const lap = "examples/lap-board.circuit.yaml";
    const place = ["--text", "Lane 4  1:02.38", "--at", "8,232", "--scroll", "8", "--smooth"];
    const { exitCode, out } = await outcomeOf(commands, ["load", lap, ...place, "--c", at("lap.c")]);
    expect(out).toContain("PD[0..7], taken by WR# with PA15 high, say what of the memory is shown, 0 to 255.");
    // 40 bytes of each of 8 rows.
    expect(out).toContain(
      "up by 8 rows as it goes from 0 to 4, in 4 vertical blankings: 320 bytes are written, out of sight.",
    );
    expect(out).toContain("The circuit shows it, dot for dot.");
    expect(exitCode).toBe(0);
    const source = await readFile(at("lap.c"), "utf8");
    expect([...source.matchAll(/dw_show\((\d)ul\);/g)].map(([, number]) => number)).toEqual(["1", "2", "3", "4"]);
    for (const [options, words] of [
      [["--hidden", "--scroll", "2"], "one of the two"],
      [["--smooth", "--test-card"], "--smooth is for --scroll"],
    ] as const) {
      const refused = await outcomeOf(commands, ["load", lap, ...options]);
      expect(refused.exitCode).toBe(2);
      expect(refused.err).toContain(words);
    }
  });
});
