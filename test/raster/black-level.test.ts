import { describe, expect, test } from "vitest";
import {
  type Shown,
  type VideoNets,
  type Waveform,
  describeBlackLevel,
  findRaster,
  watch,
} from "../../src/raster/index.js";
import { idealSignal, pulses } from "./ideal-signal.js";

const lookup = findRaster("vic-1");
if (!lookup.found) throw new Error("no raster vic-1");
/** 96 dots of sync, 48 of back porch, 640 of picture. */
const raster = lookup.raster;
const dotFs = 1e15 / 25.175e6;
const black: Waveform = { initial: 0, timesFs: new Float64Array() };
const ideal = idealSignal(raster);
const starts = ideal.hsync.timesFs.filter((_, edge) => edge % 2 === 0);

/** A net that is high over some dots of each of the lines from 560 to 660 on record, counted from the start of sync. */
function lit(...spans: (readonly [from: number, to: number])[]): Waveform {
  const lines = [...starts.subarray(600, 660)];
  return pulses(
    "positive",
    lines.flatMap((start) => spans.map(([from, to]) => [start + from * dotFs, start + to * dotFs] as const)),
  );
}

function shown(video: VideoNets): Shown {
  const view = watch({ ...ideal, video }, { raster });
  if (!view.locked) throw new Error(view.detail);
  return view;
}

/** A picture that keeps its place: the first dot of every line, and the last. */
const picture = [
  [144, 145],
  [783, 784],
] as const;

describe("the level that a monitor takes for black", () => {
  test("is right where the back porch is black", () => {
    expect(shown({ kind: "mono", net: lit(...picture) }).blackLevel).toBeUndefined();
  });

  test("is white where the whole back porch is white", () => {
    const { blackLevel } = shown({ kind: "mono", net: lit([96, 145], [783, 784]) });
    expect(blackLevel).toEqual({ lines: 60, ...{ red: 1, green: 1, blue: 1 } });
  });

  test("rises in each colour by the light of its bits, the most significant twice as much as the next", () => {
    const half = lit([96, 96 + 47.5 / 2], ...picture);
    const { blackLevel } = shown({
      kind: "colour",
      red: [half, black],
      green: [black, half],
      blue: [black, black, lit([96, 145], [783, 784])],
    });
    const levels = [blackLevel?.red, blackLevel?.green, blackLevel?.blue];
    expect(levels).toEqual([2 / 3 / 2, 1 / 3 / 2, 1 / 7].map((level) => expect.closeTo(level, 4)));
  });

  test("is told as what a person sees", () => {
    const said = (red: number, green: number, blue: number) => describeBlackLevel({ lines: 1, red, green, blue });
    expect(said(0.5, 0.5, 0.5)).toBe(
      "On that line a monitor takes black up to 50 % of white too high: white shines at 50 %, and what is darker than 50 % turns black.",
    );
    // Without red, white is cyan: the complementary colours of additive mixing.
    expect(said(0.4, 0, 0)).toBe(
      "On that line a monitor takes black too high, red by 40 % of full: white turns towards cyan.",
    );
    expect(said(0.3, 0, 0.3)).toContain("red by 30 %, blue by 30 % of full: white turns towards green.");
    expect(said(0, 0.054, 0)).toContain("green by 5.4 % of full: white turns towards magenta.");
  });

  test("stands in the finding about light in the back porch", () => {
    const { findings } = shown({ kind: "colour", red: [lit([96, 145], [783, 784])], green: [black], blue: [black] });
    const [finding] = findings.filter(({ what }) => what.includes("back porch"));
    expect(finding?.what).toContain("red by 100 % of full: white turns towards cyan.");
    expect(finding?.todo).toBe("Blank the video until it ends.");
  });
});
