import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type Entry,
  appendix,
  entryKinds,
  entryLine,
  notebookName,
  readNotebook,
  standingMeasurements,
} from "../../src/bench/index.js";

const anEntry: fc.Arbitrary<Entry> = fc
  .record({
    day: fc.integer({ min: 1, max: 28 }),
    minute: fc.option(fc.integer({ min: 0, max: 1439 })),
    kind: fc.constantFrom(...entryKinds),
    words: fc.stringMatching(/^[a-zäµ#=.:]{1,8}( [a-z0-9]{1,6}){0,3}$/),
  })
  .map(({ day, minute, kind, words }) => {
    const two = (value: number) => String(value).padStart(2, "0");
    const time = minute === null ? "" : ` ${two(Math.floor(minute / 60))}:${two(minute % 60)}`;
    return { when: `2026-11-${two(day)}${time}`, kind, text: kind === "measured" ? "U1.3=low" : words };
  });

describe("a bench notebook", () => {
  it("gives back every entry once, in the order of dates, whichever of two people's lines stand first", () => {
    fc.assert(
      fc.property(fc.array(anEntry), fc.array(anEntry), (mine, theirs) => {
        const texts = [mine, theirs].map((own) => appendix("", own));
        const [one, other] = [readNotebook(texts.join("")), readNotebook(texts.reverse().join(""))];
        const lines = (entries: readonly Entry[]) => entries.map(entryLine).sort();
        expect(one.problems).toEqual([]);
        expect(lines(one.entries)).toEqual([...new Set(lines([...mine, ...theirs]))].sort());
        expect(lines(other.entries)).toEqual(lines(one.entries));
        expect(one.entries.map(({ when }) => when)).toEqual(one.entries.map(({ when }) => when).sort());
      }),
    );
  });

  it("keeps what stands in it when an entry is added, and tells each line that is none by line and column", () => {
    const before =
      "# ours\n2026-11-28 wired all of it\n28 November: lunch\n2026-02-29 built U1\n2026-11-28 12:61 found it\n2026-11-28 found\n2026-11-28 measured it";
    const text = before + appendix(before, [{ when: "2026-11-28", kind: "found", text: "a bent pin" }]);
    expect(text.startsWith(`${before}\n`)).toBe(true);
    const { entries, problems } = readNotebook(text);
    expect(entries).toEqual([{ when: "2026-11-28", kind: "found", text: "a bent pin" }]);
    expect(problems.map(({ line, column }) => [line, column])).toEqual([
      [2, 12],
      [3, 1],
      [4, 1],
      [5, 1],
      [6, 17],
      [7, 21],
    ]);
  });

  it("reads what other editors write: a byte order mark and lines that end in carriage returns", () => {
    expect(
      readNotebook("\uFEFF2026-11-28 note one\r\n2026-11-28 note two\r\n").entries.map(({ text }) => text),
    ).toEqual(["one", "two"]);
  });

  it("has the last measurement of each pin since the board was changed", () => {
    const { entries } = readNotebook(
      [
        "2026-11-28 10:00 measured U1.3=low",
        "2026-11-28 10:20 measured U1.4=12.5 kHz",
        "2026-11-28 10:10 changed a wire",
        "2026-11-28 10:30 measured U1.4=high",
        "2026-11-28 10:25 measured u1.4 = 25 kHz",
        "2026-11-28 10:40 found a bent pin",
      ].join("\n"),
    );
    expect(standingMeasurements(entries)).toEqual(["U1.4=high"]);
  });

  it("is kept under the circuit file's name", () => {
    const names = ["a/tide-board.circuit.yaml", "lamp.yml", "list.csv", "odd"].map(notebookName);
    expect(names).toEqual(["a/tide-board.notebook.txt", "lamp.notebook.txt", "list.notebook.txt", "odd.notebook.txt"]);
  });
});
