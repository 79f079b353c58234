import { readFileSync, readdirSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Shown, type Waveform, watch } from "../../src/raster/index.js";
import { pulses } from "./ideal-signal.js";

/**
 * Published timings as their tables print them (VESA DMT, CVT and GTF, CTA-861, VGA registers, established timings, Linux
 * modedb; sources in data/rasters), made into sync nets here by nothing but the printed numbers.
 */
interface PrintedAxis {
  readonly sync: number;
  readonly total: number;
  readonly polarity: "+" | "-";
}

interface Printed {
  readonly id: string;
  readonly dotClockHz?: number;
  readonly dotPeriodPs?: number;
  readonly h: PrintedAxis;
  readonly v: PrintedAxis;
  readonly interlace?: boolean;
}

const folder = new URL("../../data/rasters/", import.meta.url);
const printed = readdirSync(folder).flatMap(
  (file) => (JSON.parse(readFileSync(new URL(file, folder), "utf8")) as { rasters: readonly Printed[] }).rasters,
);

/** How a circuit may miss the numbers and still meet them: every figure by less than the tolerance that is stated for it. */
interface Miss {
  /** Factor on the dot clock: VESA DMT allows half a per cent. */
  readonly clock: number;
  /** Width of horizontal sync, as a share of itself; of vertical sync, in lines. */
  readonly hWidth: number;
  readonly vWidth: number;
  /** Where in a line vertical sync begins. */
  readonly vLag: number;
  /** Every edge comes up to so many dots early or late. */
  readonly jitter: number;
}

const EXACT: Miss = { clock: 1, hWidth: 0, vWidth: 0, vLag: 0, jitter: 0 };

function signalOf(row: Printed, miss: Miss, seed = 1) {
  const dotFs = (row.dotPeriodPs !== undefined ? row.dotPeriodPs * 1000 : 1e15 / (row.dotClockHz ?? 0)) / miss.clock;
  const lineFs = dotFs * row.h.total;
  const lines = row.v.total / (row.interlace === true ? 2 : 1);
  const fields = row.interlace === true ? 4 : 2;
  let state = seed;
  const shaken = (time: number) => {
    state = (state * 1103515245 + 12345) & 0x7fffffff;
    return time + miss.jitter * dotFs * (state / 0x40000000 - 1);
  };
  const stretch = (at: number, width: number) => [shaken(at), shaken(at + width)] as const;
  const hPulses = Array.from({ length: Math.ceil(lines * fields) + 3 }, (_, line) =>
    stretch((line + 1) * lineFs, row.h.sync * dotFs * (1 + miss.hWidth)),
  );
  const vPulses = Array.from({ length: fields + 1 }, (_, field) =>
    stretch((1 + field * lines + miss.vLag) * lineFs, (row.v.sync + miss.vWidth) * lineFs),
  );
  const net = (sign: "+" | "-", stretches: readonly (readonly [number, number])[]): Waveform =>
    pulses(sign === "+" ? "positive" : "negative", stretches);
  const dark: Waveform = { initial: 0, timesFs: new Float64Array() };
  return {
    hsync: net(row.h.polarity, hPulses),
    vsync: net(row.v.polarity, vPulses),
    video: { kind: "mono", net: dark } as const,
  };
}

function seen(row: Printed, miss: Miss, seed?: number): Shown {
  const view = watch(signalOf(row, miss, seed));
  if (!view.locked) throw new Error(`${row.id}: ${view.reason}: ${view.detail}`);
  return view;
}

/** What the signal is named as first, and all that it is said to meet as well. */
function named({ recognition: { best, alike, alsoMet } }: Shown) {
  const id = (one: { readonly raster: { readonly id: string } }) => one.raster.id;
  return { first: [best, ...alike].map(id), met: [best, ...alike, ...alsoMet].filter(({ meets }) => meets).map(id) };
}

/** Both syncs of two printed timings are the same on the wire, to `percent` of rates and widths. */
function sameOnWire(a: Printed, b: Printed, percent: number): boolean {
  const period = (row: Printed) => row.dotPeriodPs ?? 1e12 / (row.dotClockHz ?? 0);
  const near = (one: number, other: number) => Math.abs(one / other - 1) * 100 <= percent;
  return (
    near(period(a) * a.h.total, period(b) * b.h.total) &&
    near(period(a) * a.h.sync, period(b) * b.h.sync) &&
    a.v.total === b.v.total &&
    a.v.sync === b.v.sync &&
    (a.interlace ?? false) === (b.interlace ?? false)
  );
}

const samePolarity = (a: Printed, b: Printed) => a.h.polarity === b.h.polarity && a.v.polarity === b.v.polarity;
const rows = printed.map((row) => [row.id, row] as const);

describe("the syncs of every published timing", () => {
  test("are those of more than a hundred and fifty", () => {
    expect(printed.length).toBeGreaterThanOrEqual(155);
    expect(new Set(printed.map(({ id }) => id)).size).toBe(printed.length);
  });

  test.each(rows)("are recognised as %s itself when they are exact", (id, row) => {
    const view = seen(row, EXACT);
    const { first, met } = named(view);
    expect(first).toContain(id);
    expect(met).toContain(id);
    // What is named together with it cannot be told from it, by its syncs, on any monitor.
    for (const other of printed.filter(({ id: otherId }) => first.includes(otherId))) {
      expect(sameOnWire(row, other, 1.01) && samePolarity(row, other), `${other.id} is not ${id}`).toBe(true);
    }
    const { raster, ...differences } = [view.recognition.best, ...view.recognition.alike].find(
      (one) => one.raster.id === id,
    ) ?? { raster: undefined };
    expect(raster?.id).toBe(id);
    expect(differences).toMatchObject({
      lineRatePercent: expect.closeTo(0, 6),
      fieldRatePercent: expect.closeTo(0, 6),
      lines: 0,
      hSyncWidthDots: expect.closeTo(0, 4),
      vSyncWidthLines: expect.closeTo(0, 6),
    });
  });

  test.each(rows)("are recognised as %s, or as it among others, anywhere within tolerance", (id, row) => {
    const within = (most: number) => fc.double({ min: -most, max: most, noNaN: true });
    const miss = fc.record({
      clock: within(0.0045).map((part) => 1 + part),
      hWidth: within(0.07),
      vWidth: within(0.4),
      vLag: within(0.2),
      jitter: fc.constantFrom(0, 0.2, 0.45),
    });
    fc.assert(
      fc.property(miss, fc.nat(1e6), (missed, seed) => {
        const view = seen(row, missed, seed);
        const { first, met } = named(view);
        expect(met).toContain(id);
        // Whatever it is first taken for meets the signal at least as well, and has its polarities.
        const taken = printed.find((other) => other.id === first[0]);
        expect(taken && samePolarity(taken, row), `${first[0]} in the place of ${id}`).toBe(true);
        if (first.includes(id)) return;
        expect(met.length, `${first.join()} in the place of ${id}`).toBeGreaterThan(1);
      }),
      { numRuns: 4 },
    );
  });
});

describe("published timings that differ little", () => {
  const pairs = printed.flatMap((a, index) =>
    printed.slice(index + 1).flatMap((b) => (sameOnWire(a, b, 0.9) ? [[a, b] as const] : [])),
  );
  const twins = pairs.filter(([a, b]) => samePolarity(a, b));
  const mirrored = pairs.filter(([a, b]) => !samePolarity(a, b));

  test("are told apart by polarity where that is all that differs", () => {
    expect(mirrored.length).toBeGreaterThan(0);
    for (const [a, b] of mirrored) {
      expect(named(seen(a, EXACT)).met, `${a.id} against ${b.id}`).not.toContain(b.id);
      expect(named(seen(b, EXACT)).met, `${b.id} against ${a.id}`).not.toContain(a.id);
    }
  });

  test("are both named where their syncs are the same", () => {
    expect(twins.length).toBeGreaterThan(10);
    for (const [a, b] of twins) {
      const { met } = named(seen(a, EXACT));
      expect(met, `${a.id} and ${b.id}`).toEqual(expect.arrayContaining([a.id, b.id]));
    }
  });

  test("are told apart by a sync of another width, a line more, or two fields", () => {
    const vga = printed.find(({ id }) => id === "dmt-0x04");
    if (!vga) throw new Error("no dmt-0x04");
    for (const other of [
      { ...vga, h: { ...vga.h, sync: 64 } },
      { ...vga, v: { ...vga.v, total: 526 } },
      { ...vga, interlace: true },
    ]) {
      expect(named(seen(other, EXACT)).met).not.toContain("dmt-0x04");
    }
  });
});
