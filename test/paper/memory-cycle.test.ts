import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, test } from "vitest";
import type { Circuit } from "../../src/circuit/index.js";
import type { CycleDrawing, Lane } from "../../src/paper/cycle-drawing.js";
import { memoryCycle } from "../../src/paper/memory-cycle.js";
import { drawCycle } from "../../src/paper/timing-drawing.js";
import { ns } from "../../src/quantity/index.js";
import type { Verdict } from "../../src/timing/index.js";
import { boardFrom, harbourLamp } from "./board-fixture.js";
import { overlaps } from "./overlaps.js";

const example = (name: string): Circuit => boardFrom(readFileSync(`examples/${name}.circuit.yaml`, "utf8"));

/** The verdict fields that a bracket needs, in nanoseconds. */
function verdict(about: Partial<Verdict>, required: number, available: number): Verdict {
  return {
    name: "made for the test",
    nameParts: { head: "", item: "", tail: "" },
    rule: "memory read",
    symbol: "",
    chip: "",
    part: "",
    pin: "",
    net: "",
    reference: "",
    state: available >= required ? "holds" : "fails",
    required: ns(required),
    available: ns(available),
    margin: ns(available - required),
    missing: [],
    count: 1,
    source: "",
    restsOn: [],
    note: "",
    ...about,
  };
}

const made = [
  verdict({ rule: "memory read", symbol: "tsu", chip: "U26", pin: "A", net: "MD0", reference: "CLK" }, 20, 84.7),
  verdict({ rule: "memory read", symbol: "tsu", chip: "U26", pin: "B", net: "MD1", reference: "CLK" }, 20, 90),
  verdict({ rule: "memory write", symbol: "tDH", chip: "U25", pin: "IO0", net: "MD0", reference: "WE#" }, 0, 24.8),
  verdict({ rule: "pulse width", symbol: "tw low", chip: "U25", pin: "WE#", net: "WE#", reference: "WE#" }, 75, 70.4),
  verdict(
    { rule: "contention", symbol: "turn-around", chip: "U25", pin: "IO0", net: "MD0", reference: "U22 1Q" },
    0,
    3.6,
  ),
];

function laneCalled(drawing: CycleDrawing, name: string): Lane {
  const lane = drawing.lanes.find((candidate) => candidate.name === name);
  if (!lane) throw new Error(`no lane ${name} among ${drawing.lanes.map((l) => l.name).join(", ")}`);
  return lane;
}

/** When a lane is at a level for certain. */
function stretch(lane: Lane, level: 0 | 1): { from: number; to: number } {
  const found = lane.segments.find((segment) => segment.level === level);
  if (!found) throw new Error(`${lane.name} is never ${level}`);
  return found;
}

describe("the memory cycle of the tide board", () => {
  let drawing: CycleDrawing;
  beforeAll(() => {
    const worked = memoryCycle(example("tide-board"), made);
    if (!worked) throw new Error("no cycle");
    drawing = worked;
  }, 60_000);

  test("lanes stand in the order in which signals flow", () => {
    expect(drawing.lanes.map(({ name }) => name)).toEqual([
      "OSC",
      "DOT",
      "DISPLAY#",
      "PROCESSOR#",
      "address owner",
      "MA[0..14]",
      "WE#",
      "data owner",
      "MD[0..7]",
      "LOAD#",
      "RED",
    ]);
  });

  test("the address has two owners in turn and nobody between them", () => {
    const owners = laneCalled(drawing, "address owner").segments.map(({ level, label }) => label ?? level);
    const turns = owners.filter((owner, i) => i > 0 || owner !== "U20, U21").slice(0, 4);
    expect(turns).toEqual(["z", "U18, U19", "z", "U20, U21"]);
  });

  test("the memory and the processor's data latch share the data wires in turn", () => {
    const owners = laneCalled(drawing, "data owner").segments.map(({ level, label }) => label ?? level);
    expect(owners.filter((owner) => owner !== "z").slice(-2)).toEqual(["U25", "U22"]);
  });

  test("the write pulse lies inside the processor's slot, and its data and address outlast it", () => {
    const [falls, rises] = laneCalled(drawing, "WE#").edges;
    const slot = laneCalled(drawing, "PROCESSOR#")
      .segments.filter(({ level }) => level === 0)
      .at(-1);
    expect(falls?.to).toBe(0);
    expect(slot?.from).toBeLessThan(falls?.earliest ?? 0);
    expect(slot?.to).toBeGreaterThan(rises?.latest ?? Infinity);
    for (const bus of ["MA[0..14]", "MD[0..7]"]) {
      const steady = laneCalled(drawing, bus).segments.find(
        ({ level, from, to }) =>
          level === "steady" && from < (falls?.earliest ?? 0) && to > (rises?.latest ?? Infinity),
      );
      expect(steady?.label).toMatch(/^U2[02]/);
    }
  });

  test("the memory's data are steady before the shift register loads them", () => {
    const load = stretch(laneCalled(drawing, "LOAD#"), 0);
    const read = laneCalled(drawing, "MD[0..7]").segments.find(({ label }) => label === "U25");
    expect(read?.from).toBeLessThan(load.to - ns(20));
  });

  test("segments and edges of every lane stand in order and fill the span without overlap", () => {
    for (const { name, segments, edges } of drawing.lanes) {
      const parts = [
        ...segments.map(({ from, to }) => ({ from, to })),
        ...edges.map(({ earliest, latest }) => ({ from: earliest, to: latest })),
      ].sort((a, b) => a.from - b.from || a.to - b.to);
      const begins = parts.map(({ from }) => from);
      const ends = parts.map(({ to }) => to);
      expect({ name, begins: [...begins, drawing.span] }).toEqual({ name, begins: [0, ...ends] });
    }
  });

  test("of each rule the worst verdict is measured on its lane", () => {
    const margins = drawing.brackets.filter(({ kind }) => kind === "margin");
    expect(margins.map(({ lane, label, state }) => [lane, label, state])).toEqual([
      ["MD[0..7]", "+64.7 ns", "holds"],
      ["MD[0..7]", "tDH +24.8 ns", "holds"],
      ["WE#", "−4.6 ns", "fails"],
      ["data owner", "U22 to U25 +3.6 ns", "holds"],
    ]);
  });

  test("a read's available time ends where the clock takes the data", () => {
    const available = drawing.brackets.find(({ label }) => label.startsWith("data before load"));
    const load = laneCalled(drawing, "LOAD#").edges.find(({ to }) => to === 1);
    expect(available && available.to - available.from).toBe(ns(84.7));
    expect(
      laneCalled(drawing, "DOT").edges.some(
        ({ earliest, to }) => to === 1 && Math.abs(earliest - (available?.to ?? 0)) < ns(1),
      ),
    ).toBe(true);
    expect(available?.to).toBeLessThan(load?.earliest ?? 0);
  });

  test("no label of the drawing touches another", () => {
    for (const width of [1040, 1200]) expect(overlaps(drawCycle(drawing, "cycle", width).labels)).toEqual([]);
  });
});

test(
  "where a loader writes in every slot, its address owners hand over without anybody letting go first",
  { timeout: 60_000 },
  () => {
    const drawing = memoryCycle(example("tide-board-loader"));
    const owners = drawing ? laneCalled(drawing, "address owner").segments.map(({ level }) => level) : [];
    expect(owners).not.toContain("z");
    expect(owners.length).toBeGreaterThan(1);
  },
);

test("a board without a memory has no memory cycle", () => {
  expect(memoryCycle(boardFrom(harbourLamp))).toBeUndefined();
});

test("a board without an oscillator has no memory cycle", () => {
  expect(
    memoryCycle(boardFrom(harbourLamp.replace(/ {2}X1:\n.*\n.*\n.*\n/, "").replaceAll("OSC", "RESET#"))),
  ).toBeUndefined();
});
