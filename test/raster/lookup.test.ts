import { describe, expect, test } from "vitest";
import { findRaster, publishedRasters, shortName } from "../../src/raster/index.js";

function idOf(name: string): string {
  const lookup = findRaster(name);
  return lookup.found ? lookup.raster.id : `none, near ${lookup.nearest.join(" ")}`;
}

describe("the name of a raster", () => {
  test.each(publishedRasters.map((raster) => [raster.id] as const))("%s is found by its id", (id) => {
    expect(idOf(id)).toBe(id);
  });

  test.each(publishedRasters.map((raster) => [shortName(raster), raster] as const))(
    "%s, the short name, finds a raster of that size",
    (name, raster) => {
      const lookup = findRaster(name);
      if (!lookup.found) throw new Error(`${name} not found`);
      expect([lookup.raster, ...lookup.others]).toContain(raster);
    },
  );

  test("640x480@60 is the VESA DMT one, and the others are told", () => {
    const lookup = findRaster("640x480@60");
    if (!lookup.found) throw new Error("not found");
    expect(lookup.raster.id).toBe("dmt-0x04");
    expect(lookup.others.map(({ id }) => id)).toEqual(
      expect.arrayContaining(["vic-1", "vga-0x11", "modedb-640x480@60", "gtf-640x480@60"]),
    );
  });

  test("is read as people type it", () => {
    for (const typed of ["640x480@59.94", " 640 × 480 @ 60 Hz", "640X480@60Hz", "DMT-0x04"]) {
      expect(idOf(typed), `for "${typed}"`).toBe("dmt-0x04");
    }
  });

  test("means full blanking unless it ends in -rb", () => {
    expect(idOf("1280x800@60")).toBe("dmt-0x1c");
    expect(idOf("1280x800@60-rb")).toBe("dmt-0x1b");
  });

  test("says interlaced with an i", () => {
    expect(idOf("1024x768i@87")).toBe("dmt-0x0f");
    expect(idOf("1024x768@87")).toMatch(/^none/);
  });

  test("counts rows of the picture, not lines on the wire, where each row is shown twice", () => {
    expect(idOf("320x200@70")).toBe("vga-0x0d");
    expect(idOf("320x240@60")).toBe("modedb-320x240@60-double");
  });
});

describe("a name that no raster has", () => {
  test("gets the nearest by size and rate", () => {
    const lookup = findRaster("640x480@61");
    expect(lookup).toEqual({ found: false, nearest: expect.arrayContaining(["640x480@60"]) });
    expect(idOf("650x480@60")).toContain("640x480@60");
  });

  test("gets the nearest by spelling", () => {
    expect(idOf("dmt-0x4")).toContain("dmt-0x04");
    expect(idOf("dtm-0x04")).toContain("dmt-0x04");
    expect(idOf("vic1")).toContain("vic-1");
  });

  test("gets nothing when nothing is near, however long it is", () => {
    expect(findRaster("")).toEqual({ found: false, nearest: [] });
    expect(findRaster("#".repeat(100_000))).toEqual({ found: false, nearest: [] });
  });

  test("may be nonsense in the form of a name", () => {
    expect(findRaster("0x0@0").found).toBe(false);
    expect(findRaster("99999x1@999").found).toBe(false);
  });
});
