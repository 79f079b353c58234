import { formatTime, type Fs } from "../quantity/index.js";
import type { CycleDrawing, Lane, LaneLevel } from "./cycle-drawing.js";
import { type Markup, markup } from "./markup.js";

/** One stretch of time in one lane, in words. */
export interface TimingRow {
  readonly lane: string;
  readonly from: Fs;
  readonly to: Fs;
  readonly what: string;
}

/** Everything that the drawing of a cycle shows, in the order of lanes and of time: for readers who do not see it. */
export function timingRows(drawing: CycleDrawing): TimingRow[] {
  return drawing.lanes.flatMap((lane) => {
    const held = lane.segments.map(({ from, to, level, label }) => ({
      lane: lane.name,
      from,
      to,
      what: label === undefined ? levelWords(level, lane) : `${levelWords(level, lane)}: ${label}`,
    }));
    const changes = lane.edges.map(({ earliest, latest, from, to }) => ({
      lane: lane.name,
      from: earliest,
      to: latest,
      what: `changes from ${levelWords(from, lane)} to ${levelWords(to, lane)}`,
    }));
    const measured = drawing.brackets
      .filter((bracket) => bracket.lane === lane.name)
      .map(({ from, to, kind, label }) => ({ lane: lane.name, from, to, what: `${kind}: ${label}` }));
    const steps = (drawing.path ?? [])
      .filter(({ toLane }) => toLane === lane.name)
      .map(({ fromLane, from, to, label }) => ({ lane: lane.name, from, to, what: `after ${fromLane}: ${label}` }));
    const inTime = [...held, ...changes].sort((a, b) => a.from - b.from || a.to - b.to);
    return [...inTime, ...steps, ...measured];
  });
}

function levelWords(level: LaneLevel, { kind }: Lane): string {
  switch (level) {
    case 0:
      return "low";
    case 1:
      return "high";
    case "z":
      return kind === "owner" ? "nobody" : "nothing drives";
    case "steady":
      return kind === "owner" ? "owned" : "steady";
    case "may change":
      return "may change";
  }
}

/** The rows as a table. Times in nanoseconds. */
export function timingTable(drawing: CycleDrawing): Markup {
  const ns = (time: Fs) => (time / 1e6).toFixed(1);
  const rows = timingRows(drawing).map(
    ({ lane, from, to, what }) =>
      markup`<tr><th scope="row" class="mono">${lane}</th><td class="number">${ns(from)}</td><td class="number">${ns(to)}</td><td>${what}</td></tr>\n`,
  );
  return markup`<table>
<caption>${drawing.title}, ${formatTime(drawing.span)}, as a table</caption>
<thead><tr><th scope="col">Lane</th><th scope="col" class="number">from ns</th><th scope="col" class="number">to ns</th><th scope="col">What it does</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}
