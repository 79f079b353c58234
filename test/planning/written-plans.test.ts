import { describe, expect, test } from "vitest";
import { DEFAULT_WISHES, obstaclesToWriting, searchPlans } from "../../src/planning/index.js";
import { hertz, publishedRasters } from "../../src/raster/index.js";
import { tryPlan } from "../support/written-plan.js";

/** Rasters and oscillators that are few, so that the searches take no time. */
const few = {
  ...DEFAULT_WISHES,
  rasters: publishedRasters.filter(({ id }) => ["cvt-320x240@60", "dmt-0x04"].includes(id)),
  oscillators: [6, 12, 12.5875, 24, 25.175].map((megahertz) => hertz(megahertz * 1e6)),
};

/** Proofs of whole circuits take minutes; they are in the long run. */
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
    const { front } = searchPlans({ ...few, sharing: [sharing], families: [family], bitsPerDot: [depth] });
    const writable = front.filter((plan) => obstaclesToWriting(plan).length === 0);
    const plan = writable[Math.floor(writable.length / 2)];
    if (!plan) throw new Error("no plan can be written");
    const { mistakes, unlike } = tryPlan(plan, { proof: false, picture: true });
    expect([...mistakes, ...unlike]).toEqual([]);
  });
});
