import { describe, expect, test } from "vitest";
import { DEFAULT_WISHES, type Plan, type Wishes, obstaclesToWriting, searchPlans } from "../../src/planning/index.js";
import { hertz, publishedRasters } from "../../src/raster/index.js";
import { tryPlan } from "../support/written-plan.js";

/** Rasters and oscillators that are few, so that the searches take no time. */
const few = {
  ...DEFAULT_WISHES,
  rasters: publishedRasters.filter(({ id }) => ["cvt-320x240@60", "dmt-0x04"].includes(id)),
  oscillators: [6, 12, 12.5875, 24, 25.175].map((megahertz) => hertz(megahertz * 1e6)),
};

function writablePlans(wishes: Wishes): readonly Plan[] {
  return searchPlans(wishes).front.filter((plan) => obstaclesToWriting(plan).length === 0);
}

describe("plans of every depth, family and way of sharing that is written", () => {
  test.each([
    ["write latch", "HC", 1],
    ["write latch", "fast", 2],
    ["alternate slots", "HC", 8],
    ["alternate slots", "fast", 1],
    ["two banks", "HC", 4],
    ["blanking only", "fast", 4],
    ["wait states", "fast", 2],
    ["two banks", "fast", 4],
  ] as const)("show their loaded picture dot for dot on their raster: %s, %s, %s bits", (sharing, family, depth) => {
    const writable = writablePlans({ ...few, sharing: [sharing], families: [family], bitsPerDot: [depth] });
    const plan = writable[Math.floor(writable.length / 2)];
    if (!plan) throw new Error("no plan can be written");
    const { mistakes, unlike } = tryPlan(plan, { proof: false, picture: true });
    expect([...mistakes, ...unlike]).toEqual([]);
  });
});

/**
 * Twelve kinds whose proofs take two to four seconds of a core each. Two banks, requests that wait for blanking, and wait states in
 * fast logic take five to ten; those are proved in the long run.
 */
describe("of twelve kinds the plan with the least margin", () => {
  const televisionLike = {
    ...few,
    rasters: few.rasters.filter(({ id }) => id === "cvt-320x240@60"),
    oscillators: [12, 20, 24, 25.175].map((megahertz) => hertz(megahertz * 1e6)),
  };
  const page = { kind: "text", characters: 40, lines: 25, characterDots: 8 } as const;

  test.each([
    ["alternate slots", "HC", 1],
    ["alternate slots", "HC", 2],
    ["alternate slots", "HC", 4],
    ["alternate slots", "HC", "text"],
    ["alternate slots", "fast", 1],
    ["alternate slots", "fast", 4],
    ["alternate slots", "fast", 8],
    ["write latch", "HC", 1],
    ["write latch", "fast", 4],
    ["write latch", "fast", "text"],
    ["wait states", "HC", 1],
    ["wait states", "HC", 4],
  ] as const)("keeps every rule of time and level: %s, %s, %s", { timeout: 180_000 }, (sharing, family, content) => {
    const shows = content === "text" ? { shows: page } : { bitsPerDot: [content] };
    const writable = writablePlans({ ...televisionLike, sharing: [sharing], families: [family], ...shows });
    const [tightest] = [...writable].sort((a, b) => a.figures.marginNs - b.figures.marginNs);
    if (!tightest) throw new Error("no plan can be written");
    const { mistakes, unproved } = tryPlan(tightest, { proof: true, picture: false });
    expect([...mistakes, ...unproved]).toEqual([]);
  });
});
