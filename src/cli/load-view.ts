import {
  type MappedScreen,
  type MemoryImage,
  type NextView,
  type RunningScreen,
  type SentView,
  type WritePath,
  Views,
  hiddenPage,
  mapRunning,
  scrolled,
} from "../loading/index.js";
import { BadInput } from "./bad-input.js";

/** What the command line says of the register that says what is shown. */
export interface AskedView {
  readonly view: number | undefined;
  readonly hidden: boolean;
  readonly scroll: number | undefined;
  readonly smooth: boolean;
}

/** What is shown now, what of the register was found, and what is to be shown next, where something else is. */
export interface ChosenView {
  readonly screen: MappedScreen;
  readonly views?: Views;
  readonly from: number;
  readonly next?: NextView;
}

type Progress = (done: number, total: number) => void;

/** @throws BadInput where options are given together that exclude each other */
export function checkView({ view, hidden, scroll, smooth }: AskedView, images: readonly (string | undefined)[]): void {
  if (hidden && scroll !== undefined) throw new BadInput("--hidden and --scroll: one of the two");
  if (smooth && scroll === undefined) throw new BadInput("--smooth is for --scroll: say by how many rows");
  const [image] = images.filter((path) => path !== undefined);
  if (image !== undefined && hidden) throw new BadInput(`--hidden fills a whole page: ${image} says nothing about it`);
  if (view !== undefined && view >= 2 ** 31) throw new BadInput(`--view ${view}: no register of a board is so wide`);
}

/**
 * Sets the register to what it is said to hold, and finds what is shown now and next.
 *
 * @throws BadInput where the circuit has no such register, or not what is asked of it
 */
export function chooseView(
  file: string,
  running: RunningScreen,
  path: WritePath | undefined,
  { view, hidden, scroll, smooth }: AskedView,
  onProgress: Progress,
): ChosenView {
  const views = path && Views.find(running, path);
  const isAsked = view !== undefined || hidden || scroll !== undefined;
  if (isAsked && !views) {
    throw new BadInput(`${file}: no pulse at its inputs was found that changes which part of the memory is shown`);
  }
  const from = view ?? 0;
  if (views && from >= views.count) {
    throw new BadInput(`--view ${from}: the register of ${file} holds 0 to ${views.count - 1}`);
  }
  const screen = views ? views.mapAt(from, onProgress) : mapRunning(running, onProgress);
  if ("problem" in screen) throw new BadInput(`${file}: ${screen.problem}`);
  if (!views || (!hidden && scroll === undefined)) return { screen, from, ...(views && { views }) };
  const next =
    scroll === undefined
      ? hiddenPage(views, screen, from, onProgress)
      : scrolled(views, screen, from, { rows: scroll, isSmooth: smooth }, onProgress);
  if ("problem" in next) throw new BadInput(`${file}: ${next.problem}`);
  return { screen, views, from, next };
}

/** What is sent of an image as the picture moves: what comes in; elsewhere only what differs, where it is known what is there. */
export function comingIn(
  whole: MemoryImage,
  incoming: Uint8Array | undefined,
  before: Uint8Array,
  isKnown: boolean,
): MemoryImage {
  const given = whole.bytes.map((byte, at) => (incoming?.[at] === 1 || byte !== before[at] ? 1 : 0));
  if (!isKnown && given.some((is, at) => is === 1 && incoming?.[at] !== 1)) {
    throw new BadInput(
      "--scroll: something is shown beside the rows that come in; say with --read what the memory holds",
    );
  }
  return { bytes: whole.bytes, given };
}

/** What the register is to get: for a view that stays only where it was named. */
export function sentView({ views, from, next }: ChosenView, isNamed: boolean): SentView | undefined {
  if (next) return { way: next.way, numbers: next.numbers, comes: next.isHidden ? "behind" : "before" };
  return views && isNamed ? { way: views.way, numbers: [from], comes: "behind" } : undefined;
}
