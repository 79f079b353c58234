import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type CompositeSync,
  type PublishedRaster,
  type Shown,
  type Waveform,
  comparePictures,
  drawTestCard,
  findRaster,
  publishedRasters,
  separateSyncs,
  watch,
} from "../../src/raster/index.js";
import {
  type CompositeTiming,
  type Draw,
  compositeSync,
  mix,
  nominal,
  publishedSystems,
  timingOf,
} from "./composite-signal.js";
import { idealSignal } from "./ideal-signal.js";

/** The systems' figures are those of ITU-R BT.470-5 and RS-170, in data/television.json with their sources. */
const systems = publishedSystems.map((system) => [system.id, system] as const);
const dark = { kind: "mono", net: { initial: 0, timesFs: new Float64Array() } } as const;

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

function televisionOf(timing: CompositeTiming, polarity: "positive" | "negative" = "negative"): Shown {
  return shown({ composite: compositeSync(timing, 4, polarity), video: dark });
}

function measured(wave: Waveform): CompositeSync {
  const syncs = separateSyncs(wave);
  if (!syncs?.composite) throw new Error("no vertical sync was found");
  return syncs.composite;
}

/** Begins and ends of the pulses of a net. */
function stretches({ timesFs }: Waveform): [number, number][] {
  return Array.from({ length: timesFs.length >> 1 }, (_, n) => [timesFs[2 * n] ?? 0, timesFs[2 * n + 1] ?? 0]);
}

const outside = (view: Shown) => view.television?.figures.filter(({ meets }) => !meets).map(({ name }) => name);

describe("a monitor given the composite sync of television", () => {
  test.each(systems)("names %s, whose every figure it meets", (id, system) => {
    const { lock, television, findings } = televisionOf(timingOf(system));
    expect(television?.system.id).toBe(id);
    expect([outside({ television } as Shown), television?.meets, television?.interlaced]).toEqual([[], true, true]);
    expect(lock.linesPerField).toBe(system.lines / 2);
    expect(lock.interlace).toBe(true);
    expect(findings.map(({ code }) => code)).toEqual(["dark"]);
    for (const { name, percent } of television?.figures ?? []) {
      // The published broad pulse and serration are rounded: together 31.8 µs of a half line of 31.78.
      expect(Math.abs(percent), `by ${percent} % off: ${name}`).toBeLessThan(0.2);
    }
  });

  test.each(systems)("names %s of either polarity wherever its pulses lie between their limits", (id, system) => {
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(fc.array(share, { minLength: 4, maxLength: 4 }), fc.boolean(), (shares, isNegative) => {
        let drawn = 0;
        const draw: Draw = ({ nominal: middle, min = middle, max = middle }) =>
          min + (shares[drawn++ % 4] ?? 0) * (max - min);
        const timing = timingOf(system, draw);
        const { lock, television } = televisionOf(timing, isNegative ? "negative" : "positive");
        expect([television?.system.id, television?.meets]).toEqual([id, true]);
        const { composite } = lock;
        expect(composite?.polarity).toBe(isNegative ? "negative" : "positive");
        expect((composite?.lineSync ?? 0) / 1e9).toBeCloseTo(timing.lineSync, 5);
        expect((composite?.equalising ?? 0) / 1e9).toBeCloseTo(timing.equalising, 5);
        expect((composite?.broad ?? 0) / 1e9).toBeCloseTo(timing.broad, 5);
      }),
      { numRuns: 25 },
    );
  });

  test.each(systems)("says by how much a pulse of %s is beyond its limits", (_, system) => {
    const view = televisionOf({ ...timingOf(system), lineSync: (system.lineSync.max ?? 0) + 0.05 });
    expect(outside(view)).toEqual(["line sync"]);
    expect(view.television?.meets).toBe(false);
    const finding = view.findings.find(({ code }) => code === "television timing");
    expect(finding?.what).toContain(`${system.lineSync.min} to ${system.lineSync.max} µs`);
    const few = televisionOf({ ...timingOf(system), before: 0, after: 0 });
    expect(outside(few)).toEqual(["equalising pulses before", "equalising pulses after"]);
  });

  test("tells the colour system of 525 lines from the older one by its line rate, a thousandth apart", () => {
    const [colour, monochrome] = ["525-59.94", "525-60"].map((id) => {
      const system = publishedSystems.find((one) => one.id === id);
      if (!system) throw new Error(id);
      return televisionOf(timingOf(system)).television?.system.id;
    });
    expect([colour, monochrome]).toEqual(["525-59.94", "525-60"]);
  });

  /** Line counts of home computers: 262 at 15.734 kHz as CTA-861 VIC 8 has, 312 and 313 at 15.625 kHz (common practice). */
  test.each([
    ["525-59.94", 262, 60.054],
    ["625-50", 312, 50.08],
    ["625-50", 313, 49.92],
  ] as const)("takes %s with %i whole lines in a field as practice has it", (id, lines, rate) => {
    const system = publishedSystems.find((one) => one.id === id);
    if (!system) throw new Error(id);
    const { lock, television } = televisionOf({ ...timingOf(system), halfLines: 2 * lines });
    expect(lock.linesPerField).toBe(lines);
    expect(lock.fieldRateHz).toBeCloseTo(rate, 2);
    expect(television).toMatchObject({ interlaced: false, meets: false });
    expect(outside({ television } as Shown)).toEqual([]);
  });

  test("finds the syncs of CTA-861 a little narrow for broadcasts, and its picture wide", () => {
    // 62 of 858 samples at 13.5 MHz, as CTA-861 VIC 8 has them, are 4.593 µs; BT.470-5 asks 4.6 at least. Both stand as
    // published: the one is for cables between devices, the other for broadcasts. The same with 720 samples of picture.
    const published = raster("vic-8");
    const { hsync, vsync, video } = idealSignal(published, drawTestCard(published.h.active, published.v.active));
    const view = shown({ composite: mix(stretches(hsync), stretches(vsync), "or"), video }, { raster: published });
    const found = view.television?.figures.filter(({ meets }) => !meets) ?? [];
    expect(found.map(({ name }) => name)).toEqual([
      "line sync",
      "equalising pulses before",
      "broad pulses",
      "equalising pulses after",
      "time from sync to picture",
    ]);
    expect(found[0]?.measured).toBeCloseTo(62 / 13.5, 3);
    expect(found[4]?.measured).toBeCloseTo((62 + 57) / 13.5, 2);
    const said = view.findings.filter(({ code }) => code === "television timing").map(({ what }) => what);
    expect(said).toEqual([
      "Composite sync has 0 equalising, 1 broad and 0 equalising pulses; 525-line television, M/NTSC has 6, 6, 6.",
      "The line sync is 4.59 µs (-2.29 %); 525-line television, M/NTSC has 4.6 to 4.8 µs.",
      "The time from sync to picture is 8.81 µs (-8.18 %); 525-line television, M/NTSC has at least 9.2 µs.",
    ]);
  });

  test("does not call the lines of a computer's monitor television", () => {
    const vga = idealSignal(raster("640x480@60"));
    const view = shown({ composite: mix(stretches(vga.hsync), stretches(vga.vsync), "or"), video: dark });
    expect(view.television).toBeUndefined();
    expect(view.recognition.best.raster.id).toBe("dmt-0x04");
  });
});

describe("the composite sync of simple circuits", () => {
  const vga = raster("640x480@60");
  const lineFs = 1e15 / 31468.75;
  const syncs = idealSignal(vga, undefined, { fields: 4 });
  const [h, v] = [stretches(syncs.hsync), stretches(syncs.vsync)];

  test.each([
    ["or", "block"],
    ["exclusive or", "displaced"],
    ["serrated", "whole lines"],
  ] as const)("made with %s is seen to be %s", (mixture, kind) => {
    const composite = measured(mix(h, v, mixture));
    expect(composite).toMatchObject({ vertical: kind, equalisingBefore: 0, equalisingAfter: 0 });
    expect(composite.line).toBeCloseTo(lineFs, -4);
    expect(composite.lineSync).toBeCloseTo((lineFs * 96) / 800, -4);
    expect(composite.broadPulses).toBe(kind === "block" ? 1 : 2);
  });

  test("without lines in vertical sync is reported with what an old monitor does", () => {
    const codes = (mixture: "or" | "exclusive or" | "serrated") =>
      shown({ composite: mix(h, v, mixture), video: dark }).findings.map(({ code }) => code);
    expect(codes("or")).toEqual(["no lines in vertical sync", "dark"]);
    expect(codes("exclusive or")).toEqual(["no lines in vertical sync", "dark"]);
    expect(codes("serrated")).toEqual(["dark"]);
  });

  test("shows the picture that was sent, interlaced or not", () => {
    for (const [id, mixture] of [
      ["dmt-0x04", "or"],
      ["dmt-0x04", "exclusive or"],
      ["dmt-0x04", "serrated"],
      ["vic-8", "or"],
      ["vic-6", "or"],
      ["vic-6", "serrated"],
      ["modedb-720x576i@50", "serrated"],
      ["dmt-0x0f", "or"],
    ] as const) {
      const published = raster(id);
      const card = drawTestCard(published.h.active, published.v.active);
      const { hsync, vsync, video } = idealSignal(published, card);
      const composite = mix(stretches(hsync), stretches(vsync), mixture);
      const view = shown({ composite, video }, { raster: published });
      expect(comparePictures(view.picture, card), `picture on ${id}, ${mixture}`).toEqual({ sameSize: true, count: 0 });
      expect(view.against.meets, `${id}, ${mixture}`).toBe(true);
    }
  });

  test("is recognised as the published raster whose syncs it is made of, but for their polarities", () => {
    for (const [index, published] of publishedRasters.entries()) {
      const mixture = (["or", "exclusive or", "serrated"] as const)[index % 3] ?? "or";
      const { hsync, vsync } = idealSignal(published);
      const view = shown({ composite: mix(stretches(hsync), stretches(vsync), mixture), video: dark });
      const { best, alike, alsoMet } = view.recognition;
      const met = [best, ...alike, ...alsoMet].filter(({ meets }) => meets).map((one) => one.raster.id);
      expect(met, `${published.id}, ${mixture}`).toContain(published.id);
    }
  });
});

describe("a composite sync that tells too little", () => {
  const flat: Waveform = { initial: 1, timesFs: new Float64Array() };

  test("has no horizontal sync where nothing moves, and no vertical sync where no pulse is broad", () => {
    expect(watch({ composite: flat, video: dark })).toMatchObject({
      reason: "no horizontal sync",
      detail: "The composite sync net stays high.",
    });
    const { hsync } = idealSignal(raster("640x480@60"));
    expect(watch({ composite: hsync, video: dark })).toMatchObject({
      reason: "no vertical sync",
      detail: "The composite sync has broad pulses nowhere on record, too few to see a period.",
    });
  });

  test("is taken without failing whatever it is", () => {
    const times = fc.uniqueArray(fc.nat(1e9), { maxLength: 60 });
    fc.assert(
      fc.property(times, fc.constantFrom(0 as const, 1 as const), (list, initial) => {
        const composite = { initial, timesFs: Float64Array.from(list, (time) => time * 1e4).sort() };
        expect(typeof watch({ composite, video: dark }).locked).toBe("boolean");
      }),
      { numRuns: 300 },
    );
  });

  test("looks past a glitch and reports it", () => {
    const system = publishedSystems[0];
    if (!system) throw new Error("no system");
    const ideal = compositeSync(timingOf(system, nominal), 4, "negative");
    const [first = 0] = ideal.timesFs;
    const timesFs = Float64Array.from([...ideal.timesFs, first + 20e9, first + 20e9 + 3e7]).sort();
    const view = shown({ composite: { ...ideal, timesFs }, video: dark });
    expect(view.television?.meets).toBe(true);
    expect(view.findings.map(({ code }) => code)).toContain("glitches on sync");
  });
});
