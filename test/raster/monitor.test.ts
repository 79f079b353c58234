import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type MonitorSignal,
  type PublishedRaster,
  type Shown,
  type Waveform,
  findRaster,
  publishedRasters,
  watch,
} from "../../src/raster/index.js";
import { idealSignal, pulses } from "./ideal-signal.js";

function raster(name: string): PublishedRaster {
  const lookup = findRaster(name);
  if (!lookup.found) throw new Error(`no raster ${name}`);
  return lookup.raster;
}

function shown(...args: Parameters<typeof watch>): Shown {
  const view = watch(...args);
  if (!view.locked) throw new Error(`${view.reason}: ${view.detail}`);
  return view;
}

/** Ids of the raster that a signal is recognised as and of those that its syncs cannot be told from. */
function recognised({ recognition }: Shown): string[] {
  return [recognition.best, ...recognition.alike].map((comparison) => comparison.raster.id);
}

/** Ids of the rasters that a signal meets. */
function met({ recognition: { best, alike, alsoMet } }: Shown): string[] {
  return [best, ...alike, ...alsoMet].filter(({ meets }) => meets).map((comparison) => comparison.raster.id);
}

/** What two rasters have in common when their syncs are the same on the wire, to the rounding of their tables. */
function onTheWire({ h, v, interlace, publishedHz }: PublishedRaster) {
  const lineShare = (h.sync / h.total).toFixed(3);
  const rate = Math.round(publishedHz * 10);
  return [lineShare, v.sync, v.total, h.polarity, v.polarity, interlace, rate].join(" ");
}

const vga = raster("640x480@60");
const anyRaster = fc.constantFrom(...publishedRasters);

describe("a monitor given the syncs of a published raster", () => {
  test.each(publishedRasters.map((published) => [published.id, published] as const))(
    "names %s, or rasters with the same syncs",
    (id, published) => {
      const view = shown(idealSignal(published));
      expect(recognised(view)).toContain(id);
      expect(view.recognition.best.meets).toBe(true);
      for (const { raster: other } of [view.recognition.best, ...view.recognition.alike]) {
        expect(onTheWire(other as PublishedRaster), `syncs of ${other.id}`).toBe(onTheWire(published));
      }
    },
  );

  test("tells rasters apart that differ in polarity alone", () => {
    const other = { ...vga, v: { ...vga.v, polarity: "positive" as const } };
    const view = shown(idealSignal(other));
    expect(view.recognition.best.meets).toBe(false);
    expect(view.against.vPolarityAgrees).toBe(false);
    expect(view.findings.map(({ code }) => code)).toContain("polarity");
  });

  test("says which rasters the syncs of 640x480@60 could also be", () => {
    expect(recognised(shown(idealSignal(vga)))).toEqual(["dmt-0x04", "vic-1", "vga-0x11", "modedb-640x480@60"]);
  });

  test("measures 640x480@60 as 31.469 kHz, 59.94 Hz, 525 lines, both syncs negative, 3.81 µs and 2 lines", () => {
    const { lock } = shown(idealSignal(vga));
    expect(lock.lineRateHz).toBeCloseTo(31468.75, 3);
    expect(lock.fieldRateHz).toBeCloseTo(59.940476, 6);
    expect(lock.linesPerField).toBe(525);
    expect(lock.h.polarity).toBe("negative");
    expect(lock.v.polarity).toBe("negative");
    expect(lock.h.width).toBeCloseTo(3.813307e9, -4);
    expect(lock.vSyncLines).toBeCloseTo(2, 9);
    expect(lock.h.duty).toBeCloseTo(96 / 800, 9);
  });

  test("still names it when its clock is off by less than the tolerance, wherever vertical sync stands in the line", () => {
    fc.assert(
      fc.property(
        anyRaster,
        fc.double({ min: 0.9955, max: 1.0045, noNaN: true }),
        fc.double({ min: -0.2, max: 0.2, noNaN: true }),
        fc.nat(1e10),
        (published, stretch, lag, startFs) => {
          const vSyncLagDots = Math.round(lag * published.h.total);
          const view = shown(idealSignal(published, undefined, { stretch, vSyncLagDots, startFs }), {
            raster: published,
          });
          expect(met(view)).toContain(published.id);
          expect(view.against.meets).toBe(true);
          expect(view.against.lineRatePercent).toBeCloseTo((1 / stretch - 1) * 100, 4);
          expect(view.lock.vSyncLag).toBeCloseTo(vSyncLagDots / published.h.total, 6);
        },
      ),
      { numRuns: 100 },
    );
  });

  test("says by how much the line rate is wrong when it is 3 % off", () => {
    fc.assert(
      fc.property(anyRaster, fc.constantFrom(0.97, 1.03), (published, factor) => {
        const view = shown(idealSignal(published, undefined, { stretch: 1 / factor }), { raster: published });
        expect(view.against.meets).toBe(false);
        expect(view.against.lineRatePercent).toBeCloseTo((factor - 1) * 100, 3);
        expect(met(view)).not.toContain(published.id);
        const finding = view.findings.find(({ code }) => code === "line rate");
        expect(finding?.what).toContain(factor < 1 ? "-3.00 %" : "+3.00 %");
        expect(finding?.todo).toContain("fixed-frequency monitor");
      }),
      { numRuns: 60 },
    );
  });

  test("names the nearest raster of a signal that meets none, and what differs", () => {
    const odd = { ...vga, v: { ...vga.v, total: 520, frontPorch: vga.v.frontPorch - 5 + 5, backPorch: 20 } };
    const view = shown(idealSignal(odd));
    expect(view.recognition.best.meets).toBe(false);
    const codes = view.findings.map(({ code }) => code);
    expect(codes).toEqual(expect.arrayContaining(["lines", "frame rate"]));
  });

  test("reports syncs of the wrong width", () => {
    const wide = { ...vga, h: { ...vga.h, sync: 120, backPorch: 16 }, v: { ...vga.v, sync: 3, backPorch: 24 } };
    const view = shown(idealSignal(wide), { raster: vga });
    expect(view.against.hSyncWidthDots).toBeCloseTo(24, 6);
    expect(view.against.hSyncWidthPercent).toBeCloseTo(25, 6);
    expect(view.against.vSyncWidthLines).toBeCloseTo(1, 6);
    expect(view.findings.filter(({ code }) => code === "sync width")).toHaveLength(2);
  });
});

describe("a monitor shows no picture", () => {
  const ideal = idealSignal(vga);
  const flat: Waveform = { initial: 1, timesFs: new Float64Array() };

  test("when a sync net does not move", () => {
    expect(watch({ ...ideal, hsync: flat })).toMatchObject({ locked: false, reason: "no horizontal sync" });
    const view = watch({ ...ideal, vsync: flat });
    expect(view).toMatchObject({ locked: false, reason: "no vertical sync" });
    expect(view.findings[0]?.what).toBe("No picture: no vertical sync. The vertical sync net stays high.");
  });

  test("when a single pulse is on record", () => {
    const once = { ...ideal, vsync: pulses("negative", [[1e12, 1.1e12]]) };
    expect(watch(once)).toMatchObject({ locked: false, reason: "no vertical sync" });
  });

  test("when lines last now longer, now shorter", () => {
    const lines = Array.from({ length: 1100 }, (_, line) => {
      const at = line * 31.8e9 + (line % 2) * 3e9;
      return [at, at + 3.8e9] as const;
    });
    expect(watch({ ...ideal, hsync: pulses("negative", lines) })).toMatchObject({ reason: "unsteady lines" });
  });

  test("when frames last now longer, now shorter", () => {
    const frames = [0, 525, 1060, 1585].map((line) => [line * 31.777e9, (line + 2) * 31.777e9] as const);
    expect(watch({ ...ideal, vsync: pulses("negative", frames) })).toMatchObject({ reason: "unsteady frames" });
  });

  test("when a frame is not a whole number of lines", () => {
    const frames = [0, 1, 2].map((frame) => [frame * 524.7 * 31.777e9, (frame * 524.7 + 2) * 31.777e9] as const);
    expect(watch({ ...ideal, vsync: pulses("negative", frames) })).toMatchObject({ reason: "no whole lines" });
  });

  test("when the two sync nets are swapped, and says so", () => {
    expect(watch({ ...ideal, hsync: ideal.vsync, vsync: ideal.hsync })).toMatchObject({
      reason: "no whole lines",
      detail: "Vertical sync comes more often than horizontal sync: the two nets may be swapped.",
    });
  });

  test("when the rates are beyond what it follows, and says both", () => {
    const range = { lineRateHz: { min: 30e3, max: 83e3 }, fieldRateHz: { min: 50, max: 76 } };
    expect(watch(ideal, { range }).locked).toBe(true);
    expect(watch(idealSignal(raster("vic-8")), { range })).toMatchObject({
      reason: "out of range",
      detail: "The line rate is 15.734 kHz; the monitor follows 30 to 83 kHz.",
    });
  });

  test("when one field of an interlaced frame is missing on record", () => {
    const signal = idealSignal(raster("vic-6"), undefined, { fields: 1 });
    expect(watch(signal)).toMatchObject({ reason: "record too short" });
  });
});

describe("a monitor that locks", () => {
  const ideal = idealSignal(vga);

  test("looks past glitches on sync, and reports them", () => {
    const [first = 0] = ideal.hsync.timesFs;
    const glitch = [first + 10e9, first + 10e9 + 8e6];
    const timesFs = Float64Array.from([...ideal.hsync.timesFs, ...glitch]).sort();
    const view = shown({ ...ideal, hsync: { ...ideal.hsync, timesFs } });
    expect(view.recognition.best.meets).toBe(true);
    expect(view.lock.h.glitches).toEqual([{ at: glitch[0], width: 8e6 }]);
    expect(view.findings.map(({ code }) => code)).toContain("glitches on sync");
  });

  test("looks past a gap in a sync pulse", () => {
    const [first = 0] = ideal.hsync.timesFs;
    const timesFs = Float64Array.from([...ideal.hsync.timesFs, first + 1e9, first + 1e9 + 5e6]).sort();
    const view = shown({ ...ideal, hsync: { ...ideal.hsync, timesFs } });
    expect(view.lock.h.glitches).toHaveLength(1);
    expect(view.lock.h.width).toBeCloseTo(3.813307e9, -4);
  });

  test("runs on through lines without sync, and says which", () => {
    // Both edges of lines 491 and 492 away: sync gated off during vertical sync.
    const timesFs = ideal.hsync.timesFs.filter((_, edge) => edge < 982 || edge > 985);
    const view = shown({ ...ideal, hsync: { ...ideal.hsync, timesFs } });
    expect(view.recognition.best.meets).toBe(true);
    expect(view.lock.oddLines).toEqual([490]);
    expect(view.findings.map(({ code }) => code)).toContain("odd lines");
  });

  test("warns when vertical sync begins in the middle of a line", () => {
    const view = shown(idealSignal(vga, undefined, { vSyncLagDots: 390 }));
    expect(view.findings.map(({ code }) => code)).toContain("sync between lines");
  });

  test("takes any record without failing", () => {
    const anyWave = fc.record({
      initial: fc.constantFrom(0 as const, 1 as const),
      timesFs: fc
        .uniqueArray(fc.nat(1e9), { maxLength: 40 })
        .map((times) => Float64Array.from(times, (time) => time * 1e4).sort()),
    });
    const anySignal: fc.Arbitrary<MonitorSignal> = fc.record({
      hsync: anyWave,
      vsync: anyWave,
      video: fc.record({ kind: fc.constant("mono" as const), net: anyWave }),
    });
    fc.assert(
      fc.property(anySignal, (signal) => {
        expect(typeof watch(signal).locked).toBe("boolean");
      }),
      { numRuns: 300 },
    );
  });
});
