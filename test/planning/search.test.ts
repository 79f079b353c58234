import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  DEFAULT_WISHES,
  type Plan,
  type Wishes,
  beats,
  findObstacles,
  obstaclesToWriting,
  searchPlans,
  totalOf,
} from "../../src/planning/index.js";
import { FIGURE_COLUMNS } from "../../src/planning/search/figures.js";
import { findRaster, hertz, inHertz, publishedRasters } from "../../src/raster/index.js";

const vga = publishedRasters.find(({ id }) => id === "dmt-0x04");
const rasters = publishedRasters.filter(({ id }) => ["dmt-0x04", "dmt-0x09", "dmt-0x08", "vga-0x02"].includes(id));

/** A small space, so that one search takes milliseconds. */
const small: Wishes = {
  ...DEFAULT_WISHES,
  rasters,
  oscillators: [12.5875, 25.175, 28.322, 36, 40].map((megahertz) => hertz(megahertz * 1e6)),
  memories: ["6264-100", "62256-70", "62256-15", "628128-55"],
};

/** Wishes that narrow the search. */
const limits = fc.record(
  {
    chips: fc.integer({ min: 24, max: 44 }),
    marginNs: fc.integer({ min: 0, max: 40 }),
    bytesPerSecond: fc.integer({ min: 0, max: 3_000_000 }),
    longestWaitNs: fc.integer({ min: 50, max: 60_000 }),
    memoryLeft: fc.integer({ min: 0, max: 100_000 }),
    deviationPercent: fc.constantFrom(0.01, 0.1, 0.5),
    bitsPerDot: fc.subarray([1, 2, 4, 8], { minLength: 1 }),
    families: fc.subarray(["HC", "fast"] as const, { minLength: 1 }),
    sharing: fc.subarray(["write latch", "alternate slots", "blanking only", "wait states", "two banks"] as const, {
      minLength: 1,
    }),
  },
  { requiredKeys: [] },
);

function meets(plan: Plan, wishes: Wishes): boolean {
  const { figures } = plan;
  return (
    figures.chips <= (wishes.chips ?? Infinity) &&
    figures.marginNs >= (wishes.marginNs ?? 0) &&
    figures.bytesPerSecond >= (wishes.bytesPerSecond ?? 0) &&
    figures.longestWaitNs <= (wishes.longestWaitNs ?? Infinity) &&
    figures.memoryLeft >= (wishes.memoryLeft ?? 0) &&
    figures.deviationPercent <= wishes.deviationPercent + 0.05 &&
    (wishes.bitsPerDot ?? [1, 2, 4, 8]).includes(Math.log2(figures.colours)) &&
    (wishes.families ?? ["HC", "fast"]).includes(plan.family) &&
    (wishes.sharing ?? [plan.sharing]).includes(plan.sharing) &&
    (wishes.memories ?? [plan.memory]).includes(plan.memory)
  );
}

describe("the search", () => {
  let wholeFront: readonly Plan[] = [];

  test("shows no plan that another one shown beats", () => {
    fc.assert(
      fc.property(limits, (wished) => {
        const { front } = searchPlans({ ...small, ...wished });
        for (const one of front) expect(front.some((other) => beats(other.figures, one.figures))).toBe(false);
      }),
      { numRuns: 25, seed: 1 },
    );
  });

  test("shows only plans that meet every wish", () => {
    fc.assert(
      fc.property(limits, (wished) => {
        const wishes = { ...small, ...wished };
        for (const plan of searchPlans(wishes).front) expect(meets(plan, wishes)).toBe(true);
      }),
      { numRuns: 25, seed: 2 },
    );
  });

  test("never finds a better plan when another wish is added", () => {
    fc.assert(
      fc.property(limits, limits, (first, second) => {
        const narrower = { ...small, ...second, ...first };
        const wider = { ...small, ...first };
        // What only the second wishes for is left out in the wider search.
        const before = searchPlans(wider).front;
        for (const plan of searchPlans(narrower).front) {
          const isMatched = before.some((other) => FIGURE_COLUMNS.every((of) => of(other.figures) <= of(plan.figures)));
          expect(isMatched).toBe(true);
        }
      }),
      { numRuns: 20, seed: 3 },
    );
  });

  test("plans no eight bits a dot for the one wire of composite video, and says at what they fell", () => {
    const television = publishedRasters.filter(({ id }) => ["cvt-320x240@60", "vic-8", "vic-23"].includes(id));
    const wishes: Wishes = { ...DEFAULT_WISHES, rasters: television, bitsPerDot: [8] };
    const inColours = searchPlans(wishes);
    const onOneWire = searchPlans({ ...wishes, composite: true });
    expect(inColours.front.length).toBeGreaterThan(0);
    expect(inColours.fallen.get("greys")).toBeUndefined();
    expect(onOneWire.front).toEqual([]);
    expect(onOneWire.fallen.get("greys")).toBeGreaterThan(0);
    expect(findObstacles({ ...wishes, composite: true }).map((way) => way.wishes)).toContainEqual(["bitsPerDot"]);
  });

  test("accounts for every combination: it meets the wishes or fell at one obstacle", () => {
    fc.assert(
      fc.property(limits, (wished) => {
        const { combinations, meeting, fallen } = searchPlans({ ...small, ...wished });
        expect(meeting + [...fallen.values()].reduce((sum, count) => sum + count, 0)).toBe(combinations);
      }),
      { numRuns: 15, seed: 4 },
    );
  });

  test("counts lines and frames whose parts add up to the rates that it states", () => {
    for (const { line, frame, divider, content, oscillator, counted, raster } of searchPlans(small).front) {
      const dots = content.kind === "text" ? content.characterDots : 8 / content.bitsPerDot;
      const lineHertz = inHertz(oscillator) / (divider * dots * totalOf(line));
      const nominal = inHertz(raster.dotClock) / raster.h.total;
      expect((lineHertz / nominal - 1) * 100).toBeCloseTo(counted.lineRatePercent, 6);
      expect(totalOf(frame)).toBe(raster.v.total);
      for (const part of [...Object.values(line), ...Object.values(frame)]) expect(part).toBeGreaterThanOrEqual(0);
    }
  });

  test("goes over all published rasters and stock oscillators in a few seconds of one core", () => {
    const before = process.cpuUsage();
    const { combinations, front } = searchPlans(DEFAULT_WISHES);
    wholeFront = front;
    const { user, system } = process.cpuUsage(before);
    expect(combinations).toBeGreaterThan(300_000_000);
    expect(front.length).toBeGreaterThan(100);
    // 1.4 s when built and alone; here the sources are transformed and other tests run beside.
    expect((user + system) / 1e6).toBeLessThan(10);
  });

  test("shows nothing that cannot be written as a circuit", () => {
    expect(wholeFront.length).toBeGreaterThan(0);
    const refused = wholeFront.filter((plan) => obstaclesToWriting(plan).length > 0);
    expect(refused.map(obstaclesToWriting)).toEqual([]);
  });
});

describe("the estimate of chips", () => {
  test("is at most two more than the bundled boards have: 28 the tide board, 30 its fast wide sister", () => {
    expect(chipsOf({ megahertz: 25.175, width: 320, family: "HC" })).toBe(28);
    expect(chipsOf({ megahertz: 25.175, width: 640, family: "fast" })).toBe(31);
  });

  function chipsOf({ megahertz, width, family }: { megahertz: number; width: number; family: "HC" | "fast" }) {
    const { front } = searchPlans({
      ...DEFAULT_WISHES,
      ...(vga && { rasters: [vga] }),
      oscillators: [hertz(megahertz * 1e6)],
      shows: { kind: "picture", width, height: 240 },
      bitsPerDot: [1],
      memories: [family === "HC" ? "62256-70" : "CY7C199-15"],
      families: [family],
      sharing: ["write latch"],
      build: family === "HC" ? "breadboard" : "printed board",
    });
    return front.find(({ figures }) => figures.filledPercent === 100)?.figures.chips;
  }
});

describe("wishes that cannot be met", () => {
  const found = findRaster("640x480@60");
  const wishes: Wishes = {
    ...DEFAULT_WISHES,
    rasters: found.found ? [found.raster] : [],
    oscillators: [hertz(25_175_000)],
    shows: { kind: "picture", width: 320, height: 240 },
    bitsPerDot: [1],
    memories: ["62256-70"],
    families: ["HC"],
    sharing: ["write latch"],
  };

  test("name the number of chips when it is too small, and the least that does", () => {
    const obstacles = findObstacles({ ...wishes, chips: 20 });
    const chips = obstacles.find(({ wishes: names }) => names.includes("chips"));
    expect(chips?.nearest.figures.chips).toBe(28);
  });

  test("name the RAM when it is too slow, and one that is fast enough", () => {
    const obstacles = findObstacles({ ...wishes, memories: ["62256-150"] });
    expect(obstacles.some(({ wishes: names }) => names.length === 1 && names[0] === "memories")).toBe(true);
  });

  test("name two when neither alone makes room", () => {
    const obstacles = findObstacles({ ...wishes, chips: 20, bytesPerSecond: 10_000_000 });
    expect(obstacles[0]?.wishes.length).toBe(2);
  });
});

test("where flip-flops divide the can, its high time less what they ask for is a margin, as a proof finds it", () => {
  const { front } = searchPlans({ ...small, oscillators: [hertz(25_175_000)], families: ["HC"], bitsPerDot: [1] });
  const divided = front.filter(({ divider }) => divider >= 2);
  // 40 % of the period (MF Electronics M1280), and 6 ns that a 74ACT74 asks for (from memory).
  const expected = 0.4 * (1e3 / 25.175) - 6;
  expect(divided.length).toBeGreaterThan(0);
  for (const { paths } of divided) {
    expect(paths.find(({ path }) => path === "can's high time")?.margin).toBeCloseTo(expected, 1);
  }
});
