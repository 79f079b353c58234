import { fs, type Fs, ns } from "../../src/quantity/index.js";
import type { CycleDrawing, Lane, LaneEdge, LaneLevel, LaneSegment } from "../../src/paper/cycle-drawing.js";

/**
 * A lane from its levels and the windows of its changes, in nanoseconds: `[0, [10, 32], 1]` is low until 10, high from 32.
 * A level may carry a label: `["steady", "screen"]`.
 */
export function lane(
  name: string,
  kind: Lane["kind"],
  span: Fs,
  parts: readonly (LaneLevel | readonly [LaneLevel, string] | readonly [number, number])[],
): Lane {
  const segments: LaneSegment[] = [];
  const edges: LaneEdge[] = [];
  let level: LaneLevel | undefined;
  let begin = fs(0);
  let edge: readonly [Fs, Fs] | undefined;
  let label: string | undefined;
  const close = (end: Fs) => {
    if (level !== undefined && end > begin) {
      segments.push({ from: begin, to: end, level, ...(label === undefined ? {} : { label }) });
    }
  };
  for (const part of parts) {
    if (typeof part === "object" && typeof part[0] === "number" && typeof part[1] === "number") {
      edge = [ns(part[0]), ns(part[1])];
      close(edge[0]);
      continue;
    }
    const next = (typeof part === "object" ? part[0] : part) as LaneLevel;
    if (edge && level !== undefined) {
      edges.push({ earliest: edge[0], latest: edge[1], from: level, to: next });
      begin = edge[1];
    }
    level = next;
    label = typeof part === "object" && typeof part[1] === "string" ? part[1] : undefined;
  }
  close(span);
  return { name, kind, segments, edges };
}

const tick = 39.722;
const span = ns(tick * 16);

/** A display slot and a processor slot at 25.175 MHz, with invented but likely delays. */
export const memoryCycle: CycleDrawing = {
  title: "Memory cycle of a tide board",
  span,
  ticks: Array.from({ length: 17 }, (_, i) => ns(tick * i)),
  lanes: [
    lane("CLK25", "clock", span, [
      1,
      ...Array.from({ length: 32 }, (_, i) => {
        const at = (tick / 2) * (i + 1);
        return [[at - 2, at + 2] as const, (i % 2) as 0 | 1] as const;
      })
        .flat()
        .slice(0, 62),
    ]),
    lane("DOT", "clock", span, [
      0,
      ...Array.from(
        { length: 15 },
        (_, i) => [[tick * (i + 1) + 2, tick * (i + 1) + 9] as const, ((i + 1) % 2) as 0 | 1] as const,
      ).flat(),
    ]),
    lane("SLOT", "signal", span, [1, [7, 31], 0, [tick * 8 + 7, tick * 8 + 31], 1]),
    lane("address owner", "owner", span, [
      ["steady", "processor"],
      [11, 45],
      "z",
      [52, 78],
      ["steady", "screen"],
      [tick * 8 + 11, tick * 8 + 45],
      "z",
      [tick * 8 + 52, tick * 8 + 78],
      ["steady", "processor"],
    ]),
    lane("VA[0..14]", "bus", span, [
      ["steady", "CA"],
      [11, 45],
      "z",
      [52, 78],
      ["steady", "row and column"],
      [tick * 8 + 11, tick * 8 + 45],
      "z",
      [tick * 8 + 52, tick * 8 + 78],
      ["steady", "processor's address"],
    ]),
    lane("RAM_WE#", "signal", span, [1, [tick * 11 + 4, tick * 11 + 22], 0, [tick * 14 + 4, tick * 14 + 22], 1]),
    lane("data owner", "owner", span, [
      ["steady", "processor"],
      [9, 40],
      "z",
      [58, 82],
      ["steady", "RAM"],
      [tick * 8 + 9, tick * 8 + 40],
      "z",
      [tick * 9 + 11, tick * 9 + 46],
      ["steady", "processor"],
    ]),
    lane("VD[0..7]", "bus", span, [
      ["steady", "byte"],
      [9, 40],
      "z",
      [58, 82],
      "may change",
      [148, 148],
      ["steady", "display byte"],
      [tick * 8 + 9, tick * 8 + 40],
      "z",
      [tick * 9 + 11, tick * 9 + 46],
      ["steady", "processor's byte"],
    ]),
    lane("LOAD#", "signal", span, [1, [tick * 6 + 5, tick * 6 + 27], 0, [tick * 7 + 35, tick * 8 + 27], 1]),
    lane("VIDEO", "signal", span, ["steady", [tick * 8 + 6, tick * 8 + 33], "steady"]),
  ],
  brackets: [
    { lane: "VA[0..14]", from: ns(78), to: ns(148), label: "tAA 70 ns", kind: "available" },
    { lane: "VD[0..7]", from: ns(148), to: ns(tick * 8), label: "data valid before LOAD 169.8 ns", kind: "available" },
    { lane: "VD[0..7]", from: ns(tick * 8 - 25), to: ns(tick * 8), label: "set-up 25 ns", kind: "required" },
    { lane: "VD[0..7]", from: ns(148), to: ns(tick * 8 - 25), label: "+144.8 ns", kind: "margin", state: "holds" },
    { lane: "VD[0..7]", from: ns(tick * 8), to: ns(tick * 8 + 9), label: "hold 5 ns", kind: "required" },
    { lane: "RAM_WE#", from: ns(tick * 11 + 22), to: ns(tick * 14 + 4), label: "pulse 101.2 ns", kind: "available" },
    { lane: "RAM_WE#", from: ns(tick * 11 + 22), to: ns(tick * 11 + 72), label: "tWP 50 ns", kind: "required" },
    {
      lane: "RAM_WE#",
      from: ns(tick * 11 + 72),
      to: ns(tick * 14 + 4),
      label: "+51.2 ns",
      kind: "margin",
      state: "holds",
    },
    {
      lane: "data owner",
      from: ns(tick * 9 + 11),
      to: ns(tick * 9 + 16),
      label: "−3.1 ns",
      kind: "margin",
      state: "fails",
    },
  ],
  path: [
    { fromLane: "CLK25", toLane: "SLOT", from: ns(0), to: ns(31), label: "U2 CLK to Q 31 ns" },
    { fromLane: "SLOT", toLane: "VA[0..14]", from: ns(31), to: ns(78), label: "U12 OE# to Y 47 ns" },
    { fromLane: "VA[0..14]", toLane: "VD[0..7]", from: ns(78), to: ns(148), label: "U15 62256-70 tAA 70 ns" },
  ],
};
