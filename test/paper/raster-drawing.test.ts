import { describe, expect, test } from "vitest";
import { drawRaster } from "../../src/paper/raster-drawing.js";
import { rasterView } from "../../src/paper/raster-view.js";
import { standaloneSvg } from "../../src/paper/sheet.js";
import { blackPicture, drawTestCard, findRaster, MONO, publishedRasters, watch } from "../../src/raster/index.js";
import { idealSignal } from "../raster/ideal-signal.js";
import { overlaps } from "./overlaps.js";
import { vgaView } from "./raster-fixture.js";

function seen(name: string, dark = false) {
  const found = findRaster(name);
  if (!found.found) throw new Error(`no raster ${name}`);
  const { raster } = found;
  const size = [raster.h.active, raster.v.active] as const;
  const shown = watch(idealSignal(raster, dark ? blackPicture(...size, MONO) : drawTestCard(...size)), { raster });
  if (!shown.locked) throw new Error(shown.detail);
  return rasterView(shown);
}

describe("what a monitor sees of an ideal 640x480@60", () => {
  // VESA DMT 1.0 revision 13, DMT ID 04h: 640 + 16 + 96 + 48 dots, 480 + 10 + 2 + 33 lines, syncs negative.
  test("is the published number of dots and lines, all at 100 per cent", () => {
    const view = seen("640x480@60");
    const counts = (axis: typeof view.line) => axis.strips.map(({ name, count }) => [name, Number(count.toFixed(2))]);
    expect(counts(view.line)).toEqual([
      ["sync", 96],
      ["back porch", 48],
      ["picture", 640],
      ["front porch", 16],
    ]);
    expect(counts(view.frame)).toEqual([
      ["sync", 2],
      ["back porch", 33],
      ["picture", 480],
      ["front porch", 10],
    ]);
    expect(view.line.sync).toBe("low");
    expect(view.line.rateHz).toBeCloseTo(31_468.75, 0);
    expect(view.frame.rateHz).toBeCloseTo(59.94, 2);
    expect(view.porchesSeen).toBe(true);
  });

  test("has the standard's porches when the picture is dark", () => {
    const view = seen("640x480@60", true);
    expect(view.porchesSeen).toBe(false);
    expect(view.line.strips.map(({ count }) => Number(count.toFixed(2)))).toEqual([96, 48, 640, 16]);
  });
});

describe("the raster drawing", () => {
  test("is the same text every time", async () => {
    await expect(standaloneSvg(drawRaster(vgaView).svg)).toMatchFileSnapshot("drawings/raster.svg");
  });

  test.each([520, 620, 700, 979, 980, 1400])(
    "has no labels that overlap or leave the sheet at a width of %i px",
    (width) => {
      const { labels } = drawRaster(vgaView, undefined, "raster", width);
      expect(overlaps(labels)).toEqual([]);
      for (const label of labels) {
        expect(label.x).toBeGreaterThanOrEqual(0);
        expect(label.x + label.width).toBeLessThanOrEqual(width);
      }
    },
  );

  test("is to scale: the sync is 96 of 800 dots wide", () => {
    const svg = drawRaster(vgaView).svg.text;
    expect(svg).toContain('<rect class="ink" x="24" y="104" width="744" height="488.25"/>');
    const picture = /<rect class="body" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"/.exec(svg);
    expect(picture?.slice(1).map(Number)).toEqual(
      [24 + (744 * 144) / 800, 104 + (488.25 * 35) / 525, (744 * 640) / 800, (488.25 * 480) / 525].map((value) =>
        Number(value.toFixed(2)),
      ),
    );
  });

  test("has no label on another and none outside, whatever published raster it shows", () => {
    for (const { id } of publishedRasters) {
      const { labels } = drawRaster(viewOf(id));
      expect([id, overlaps(labels)]).toEqual([id, []]);
      for (const { x, width } of labels) expect([id, x >= 0 && x + width <= 1150]).toEqual([id, true]);
    }
  });
});

/** A published raster as if it had been measured exactly. */
function viewOf(id: string) {
  const found = findRaster(id);
  if (!found.found) throw new Error(`no raster ${id}`);
  const { raster } = found;
  const scaled = (axis: typeof raster.h, view: typeof vgaView.line) => ({
    ...view,
    total: axis.total,
    standardTotal: axis.total,
    strips: view.strips.map((strip) => {
      const counts = {
        sync: axis.sync,
        "back porch": axis.backPorch,
        picture: axis.active,
        "front porch": axis.frontPorch,
      };
      return { ...strip, count: counts[strip.name], standard: counts[strip.name] };
    }),
  });
  return { ...vgaView, line: scaled(raster.h, vgaView.line), frame: scaled(raster.v, vgaView.frame) };
}
