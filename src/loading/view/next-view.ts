import type { Chip } from "../../circuit/index.js";
import type { MappedScreen } from "../mapping/screen.js";
import { type NoMap, neededWords } from "../mapping/screen-map.js";
import type { ViewWay } from "./learn-view.js";
import type { Views } from "./views.js";

/** What is to be shown next: out of which words, and what the register gets for it. */
export interface NextView {
  readonly way: ViewWay;
  /** The number that the register holds now. */
  readonly from: number;
  /** The numbers that it gets, one in each vertical blanking; the last one is what `screen` was mapped with. */
  readonly numbers: readonly number[];
  readonly screen: MappedScreen;
  /** Rows by which the picture moves up; absent where another page is shown. */
  readonly rows?: number;
  /** 1 at each word that comes onto the screen. */
  readonly incoming: ReadonlyMap<Chip, Uint8Array>;
  /** Whether all of these are out of sight until then. */
  readonly isHidden: boolean;
}

export interface ScrollOptions {
  /** Up where positive, down where negative. */
  readonly rows: number;
  /** Step after step, in each blanking one; else all at once. */
  readonly isSmooth: boolean;
}

/** A page that nothing is shown of now, to be shown when it is filled. */
export function hiddenPage(
  views: Views,
  shown: MappedScreen,
  from: number,
  onProgress?: (done: number, total: number) => void,
): NextView | NoMap {
  const number = views.hiddenFrom(shown, from);
  if (number === undefined) return { problem: "No number of its register shows a page that is out of sight now." };
  const screen = views.mapAt(number, onProgress);
  if ("problem" in screen) return screen;
  const incoming = neededWords(screen.map);
  return { way: views.way, from, numbers: [number], screen, incoming, isHidden: true };
}

/** The picture some rows higher or lower, with what comes in at its edge. */
export function scrolled(
  views: Views,
  shown: MappedScreen,
  from: number,
  { rows, isSmooth }: ScrollOptions,
  onProgress?: (done: number, total: number) => void,
): NextView | NoMap {
  const { height } = shown.map;
  if (rows === 0 || Math.abs(rows) >= height)
    return { problem: `A picture of ${height} rows moves by 1 to ${height - 1}.` };
  const numbers = views.movedUp(from, rows);
  if ("problem" in numbers) return numbers;
  const last = numbers.at(-1) ?? from;
  const screen = views.mapAt(last, onProgress);
  if ("problem" in screen) return screen;
  const incoming = neededWords(screen.map, rows > 0 ? [height - rows, height] : [0, -rows]);
  const seen = neededWords(shown.map);
  const isHidden = [...incoming].every(([chip, words]) =>
    words.every((is, at) => is === 0 || seen.get(chip)?.[at] !== 1),
  );
  return { way: views.way, from, numbers: isSmooth ? numbers : [last], screen, rows, incoming, isHidden };
}
