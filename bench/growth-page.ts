import type { GrowthOptions } from "./growth-circuit.js";

export interface Measured {
  readonly options: GrowthOptions;
  readonly chips: number;
  /** Oscillator periods that were proved. */
  readonly ticks: number;
  readonly situations: number;
  /** Of processor time. */
  readonly seconds: number;
}

export interface Growth {
  readonly byChips: readonly Measured[];
  readonly byTicks: readonly Measured[];
}

/** docs/growth.md. `on` is the day and the machine. */
export function growthPage({ byChips, byTicks }: Growth, on: string): string {
  return `# How the proof grows

Counters, gates and registers on one clock, without a memory: [growth-circuit.ts](../bench/growth-circuit.ts) makes the
circuits, \`npm run growth\` measures them and writes this page. A chip that goes through more states has more situations; a
circuit that comes back later has the same ones again, and those are looked up. Boards with a memory and signals from outside
cost more: \`npm run bench -- prove\`.

Measured on ${on}. Seconds of processor time; other work on the machine makes them longer.

![Seconds against chips and against oscillator periods](images/growth.svg)

${table(byChips)}

${table(byTicks)}
`;
}

function table(rows: readonly Measured[]): string {
  const head = ["counters", "groups", "chips", "periods", "situations", "seconds"];
  const cells = rows.map(({ options, chips, ticks, situations, seconds }) => [
    ...[options.counters, options.groups, chips, ticks, situations].map(String),
    seconds.toFixed(2),
  ]);
  const widths = head.map((text, column) => Math.max(text.length, ...cells.map((row) => row[column]?.length ?? 0)));
  const line = (row: readonly string[]) => `| ${row.map((text, i) => text.padStart(widths[i] ?? 0)).join(" | ")} |`;
  const rule = `| ${widths.map((width) => `${"-".repeat(width - 1)}:`).join(" | ")} |`;
  return [line(head), rule, ...cells.map(line)].join("\n");
}

const WIDTH = 300;
const HEIGHT = 180;
const [LEFT, TOP, GAP] = [50, 20, 80];

/** docs/images/growth.svg: two plots side by side, dark on white, as on paper. */
export function growthDrawing({ byChips, byTicks }: Growth): string {
  const total = 2 * (LEFT + WIDTH) + GAP;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${total} ${HEIGHT + 70}" font-family="sans-serif" font-size="12">`,
    `<rect width="100%" height="100%" fill="white"/>`,
    plot(LEFT, byChips, ({ chips }) => chips, "chips", String),
    plot(
      2 * LEFT + WIDTH + GAP / 2,
      byTicks,
      ({ ticks }) => Math.log2(ticks),
      "oscillator periods",
      (power) => `2^${power}`,
    ),
    "</svg>",
    "",
  ].join("\n");
}

function plot(
  left: number,
  rows: readonly Measured[],
  along: (row: Measured) => number,
  name: string,
  label: (value: number) => string,
): string {
  const most = Math.max(...rows.map(({ seconds }) => seconds));
  const top = niceAbove(most);
  const values = rows.map(along);
  const [first, last] = [Math.floor(Math.min(0, ...values)), Math.ceil(Math.max(...values))];
  const x = (value: number) => left + (WIDTH * (value - first)) / (last - first);
  const y = (seconds: number) => TOP + HEIGHT * (1 - seconds / top);
  const steps = [0, 0.25, 0.5, 0.75, 1];
  return [
    `<path d="M${left} ${TOP}V${TOP + HEIGHT}H${left + WIDTH}" fill="none" stroke="#222"/>`,
    ...steps.map(
      (share) =>
        `<text x="${left - 6}" y="${y(share * top) + 4}" text-anchor="end">${+(share * top).toFixed(2)}</text>`,
    ),
    ...steps.map((share) => {
      const value = Math.round(first + share * (last - first));
      return `<text x="${x(value).toFixed(1)}" y="${TOP + HEIGHT + 16}" text-anchor="middle">${label(value)}</text>`;
    }),
    `<polyline points="${rows.map((row) => `${x(along(row)).toFixed(1)},${y(row.seconds).toFixed(1)}`).join(" ")}" fill="none" stroke="#222" stroke-width="1.5"/>`,
    ...rows.map(
      (row) => `<circle cx="${x(along(row)).toFixed(1)}" cy="${y(row.seconds).toFixed(1)}" r="3" fill="#222"/>`,
    ),
    `<text x="${left}" y="${TOP - 8}">seconds</text>`,
    `<text x="${left + WIDTH / 2}" y="${TOP + HEIGHT + 36}" text-anchor="middle">${name}</text>`,
  ].join("\n");
}

/** The least of 1, 2 or 5 times a power of ten that is not below a value. */
function niceAbove(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  return [1, 2, 5, 10].map((step) => step * power).find((step) => step >= value) ?? 10 * power;
}
