import { describe, expect, test } from "vitest";
import { writtenChips } from "../../src/planning/index.js";
import { hertz, publishedRasters } from "../../src/raster/index.js";
import { samplePlans, wishesOfEveryKind } from "../support/sampled-plans.js";

/** Rasters of television and of computers, and oscillators that are few, so that the searches take no time. */
const few = {
  rasters: publishedRasters.filter(({ id }) =>
    ["dmt-0x04", "dmt-0x09", "dmt-0x10", "vga-0x02", "vic-8", "vic-23", "cvt-320x240@60"].includes(id),
  ),
  oscillators: [6, 8, 12, 12.5875, 14.31818, 16, 24, 25.175, 28.322, 40].map((megahertz) => hertz(megahertz * 1e6)),
};
const television = few.rasters.filter(({ id }) => id.startsWith("vic"));
const PLANS = 110;

describe("the chips of a plan", () => {
  test(
    "are those of its written circuit within two or a tenth, whatever kind of plan it is",
    { timeout: 180_000 },
    () => {
      const wishes = wishesOfEveryKind().flatMap((one) => [
        { ...one, ...few },
        { ...one, ...few, rasters: television },
      ]);
      const kinds = new Set<string>();
      let written = 0;
      const off: string[] = [];
      for (const plan of samplePlans(wishes, PLANS, "chips")) {
        const chips = writtenChips(plan);
        if (chips === undefined) continue;
        written++;
        kinds.add(`${plan.sharing} ${plan.family}`);
        if (Math.abs(chips - plan.figures.chips) > Math.max(2, chips / 10)) {
          off.push(
            `${plan.sharing}, ${plan.family}, ${plan.columns} x ${plan.rows}: ${plan.figures.chips}, not ${chips}`,
          );
        }
      }
      expect(off).toEqual([]);
      expect(written).toBeGreaterThan(40);
      expect([...kinds].sort()).toEqual([
        "alternate slots HC",
        "alternate slots fast",
        "blanking only HC",
        "blanking only fast",
        "two banks HC",
        "two banks fast",
        "wait states HC",
        "wait states fast",
        "write latch HC",
        "write latch fast",
      ]);
    },
  );
});
