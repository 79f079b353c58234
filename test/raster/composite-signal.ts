import { readFileSync } from "node:fs";
import type { Waveform } from "../../src/raster/index.js";
import { pulses } from "./ideal-signal.js";

/** What a composite sync is made of. Times in microseconds. */
export interface CompositeTiming {
  readonly line: number;
  readonly lineSync: number;
  /** Half lines from one vertical sync to the next: odd when interlaced. */
  readonly halfLines: number;
  readonly equalising: number;
  readonly broad: number;
  readonly before: number;
  readonly broadPulses: number;
  readonly after: number;
}

interface PublishedFigure {
  readonly nominal: number;
  readonly min?: number;
  readonly max?: number;
}

interface PublishedSystem {
  readonly id: string;
  readonly lines: number;
  readonly lineRateHz: PublishedFigure;
  readonly lineSync: PublishedFigure;
  readonly equalising: PublishedFigure;
  readonly serration: PublishedFigure;
  readonly equalisingBefore: PublishedFigure;
  readonly broadPulses: PublishedFigure;
  readonly equalisingAfter: PublishedFigure;
}

/** The published systems, read as they stand in the data with their sources, not through the module under test. */
export const publishedSystems = (
  JSON.parse(readFileSync(new URL("../../data/television.json", import.meta.url), "utf8")) as {
    readonly systems: readonly PublishedSystem[];
  }
).systems;

/** Where in the span from the least to the greatest a figure is drawn: 0.5 is nominal for symmetric tolerances. */
export type Draw = (figure: PublishedFigure) => number;

export const nominal: Draw = (figure) => figure.nominal;

/** The composite sync of a published system; its broad pulses are what a half line leaves beside the serration. */
export function timingOf(system: PublishedSystem, draw: Draw = nominal): CompositeTiming {
  const line = 1e6 / system.lineRateHz.nominal;
  return {
    line,
    lineSync: draw(system.lineSync),
    halfLines: system.lines,
    equalising: draw(system.equalising),
    broad: line / 2 - draw(system.serration),
    before: system.equalisingBefore.nominal,
    broadPulses: system.broadPulses.nominal,
    after: system.equalisingAfter.nominal,
  };
}

const FS_PER_US = 1e9;

/** Composite sync over so many fields, with a field more at its beginning: pulses twice a line around vertical sync. */
export function compositeSync(timing: CompositeTiming, fields: number, polarity: "positive" | "negative"): Waveform {
  const { line, lineSync, halfLines, equalising, broad, before, broadPulses, after } = timing;
  const stretches: (readonly [number, number])[] = [];
  for (let slot = 0; slot < (fields + 2) * halfLines; slot++) {
    // Broad pulses begin at every multiple of the field; slots before them are counted backwards.
    const since = slot % halfLines;
    const until = halfLines - since;
    const isEqualising = until <= before || (since >= broadPulses && since < broadPulses + after);
    if (!isEqualising && since >= broadPulses && slot % 2 === 1) continue;
    const width = since < broadPulses ? broad : isEqualising ? equalising : lineSync;
    const start = slot * (line / 2) * FS_PER_US;
    stretches.push([start, start + width * FS_PER_US]);
  }
  return pulses(polarity, stretches);
}

type Stretches = readonly (readonly [number, number])[];

/** How simple circuits make one net of two syncs. */
export type Mixture = "or" | "exclusive or" | "serrated";

/**
 * One net of horizontal and vertical sync, both given as the stretches in which they are active: active where either is,
 * where exactly one is, or as the first with a gap as wide as horizontal sync before each line.
 */
export function mix(horizontal: Stretches, vertical: Stretches, mixture: Mixture): Waveform {
  const gaps = mixture === "serrated" ? horizontal.map(([from, to]) => [2 * from - to, from] as const) : [];
  const steps = [horizontal, vertical, gaps].flatMap((stretches, which) =>
    stretches.flatMap(([from, to]) => [
      { time: Math.round(from), which, step: 1 },
      { time: Math.round(to), which, step: -1 },
    ]),
  );
  steps.sort((a, b) => a.time - b.time);
  const depth = [0, 0, 0];
  const changes: number[] = [];
  let level = false;
  steps.forEach(({ time, which, step }, index) => {
    depth[which] = (depth[which] ?? 0) + step;
    if (steps[index + 1]?.time === time) return;
    const [h, v, gap] = depth.map((count) => count > 0) as [boolean, boolean, boolean];
    const active = mixture === "exclusive or" ? h !== v : mixture === "or" ? h || v : v ? !gap : h;
    if (active === level) return;
    level = active;
    changes.push(time);
  });
  return { initial: 1, timesFs: Float64Array.from(changes) };
}
