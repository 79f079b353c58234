import { fs, type Fs } from "../../src/quantity/index.js";
import type { RasterAxis, RasterView, Strip } from "../../src/paper/raster-view.js";

function strips(period: Fs, total: number, counts: readonly [Strip["name"], number][]): Strip[] {
  return counts.map(([name, count]) => ({
    name,
    count,
    standard: count,
    time: fs(Math.round((count / total) * period)),
  }));
}

const lineTime = fs(31_777_557_100);

const line: RasterAxis = {
  unit: "dots",
  strips: strips(lineTime, 800, [
    ["sync", 96],
    ["back porch", 48],
    ["picture", 640],
    ["front porch", 16],
  ]),
  total: 800,
  standardTotal: 800,
  time: lineTime,
  rateHz: 31_468.75,
  sync: "low",
};

const frameTime = fs(lineTime * 525);

const frame: RasterAxis = {
  unit: "lines",
  strips: strips(frameTime, 525, [
    ["sync", 2],
    ["back porch", 33],
    ["picture", 480],
    ["front porch", 10],
  ]),
  total: 525,
  standardTotal: 525,
  time: frameTime,
  rateHz: 59.94,
  sync: "low",
};

/** 640 by 480 dots at 25.175 MHz: VESA DMT 1.0 revision 13, DMT ID 0x04. */
export const vgaView: RasterView = {
  standard: "VESA DMT 640x480 (59.94 Hz)",
  source: "VESA DMT 1.0 revision 13, ID 04h",
  line,
  frame,
  porchesSeen: true,
};
