import { FREQUENCY, type Fault } from "../faults/fault.js";
import { CELLS_HIGH, CELLS_WIDE } from "../signature/screen-cells.js";
import type { ScreenSignature } from "../signature/screen-signature.js";
import type { Signature } from "../signature/simulate-group.js";

/** Faults that look alike on the screen. */
export interface Look {
  /** From 1, the commonest first. */
  readonly number: number;
  readonly screen: ScreenSignature;
  /** Positions of its faults, the likeliest first. */
  readonly faults: readonly number[];
  /** What one sees, in a sentence. */
  readonly text: string;
  readonly isUsual: boolean;
}

/** Pictures that differ less than this, as a share of full white on the mean, look alike. Our own choice. */
const ALIKE = 0.012;
/** Syncs whose rates differ less than this look alike: a monitor shows the same. */
const SAME_RATE = 0.01;

/** Groups faults by what the screen shows, so that each group looks distinct. A fault may look in two ways. */
export function galleryOf(
  faults: readonly Fault[],
  signatures: readonly Signature[],
  good: ScreenSignature | undefined,
): readonly Look[] {
  const groups: { readonly screen: ScreenSignature; readonly members: Set<number> }[] = [];
  const known = new Map<ScreenSignature, number>();
  const groupOf = (screen: ScreenSignature): number => {
    const same = known.get(screen);
    if (same !== undefined) return same;
    let found = groups.findIndex((group) => looksLike(group.screen, screen));
    if (found < 0) found = groups.push({ screen, members: new Set() }) - 1;
    known.set(screen, found);
    return found;
  };
  if (good) groupOf(good);
  const dark: ScreenSignature = { locked: false, reason: "no horizontal sync" };
  signatures.forEach(({ screens, isShorted }, fault) => {
    for (const screen of isShorted ? [dark] : (screens ?? [])) groups[groupOf(screen)]?.members.add(fault);
  });
  const weight = (fault: number) => FREQUENCY[faults[fault]?.kind ?? "stuck"];
  return groups
    .map(({ screen, members }, index) => ({
      screen,
      isUsual: good !== undefined && index === 0,
      faults: [...members].sort((a, b) => weight(b) - weight(a)),
    }))
    .filter((group) => group.faults.length > 0)
    .sort((a, b) => Number(b.isUsual) - Number(a.isUsual) || b.faults.length - a.faults.length)
    .map((group, index) => ({ number: index + 1, ...group, text: lookText(group.screen, good, group.isUsual) }));
}

/** Whether a person would take two screens for the same. */
export function looksLike(a: ScreenSignature, b: ScreenSignature): boolean {
  if (!a.locked || !b.locked) return !a.locked && !b.locked && a.reason === b.reason;
  const isRate = (one: number, other: number) => Math.abs(one - other) <= SAME_RATE * one;
  return isRate(a.lineHz, b.lineHz) && isRate(a.frameHz, b.frameHz) && differenceOf(a.cells, b.cells) < ALIKE;
}

function differenceOf(a: Uint8Array, b: Uint8Array): number {
  let sum = 0;
  for (let index = 0; index < a.length; index++) sum += Math.abs((a[index] ?? 0) - (b[index] ?? 0));
  return sum / (255 * a.length);
}

function lookText(screen: ScreenSignature, good: ScreenSignature | undefined, isUsual: boolean): string {
  if (!screen.locked) return NO_PICTURE[screen.reason];
  if (isUsual) return "The picture is right.";
  const light = brightness(screen.cells);
  const whole = good?.locked === true ? brightness(good.cells) : [1, 1, 1];
  const [red = 0, green = 0, blue = 0] = light.map((one, colour) => one / Math.max(1, whole[colour] ?? 1));
  if (Math.max(red, green, blue) < 0.02) return "The screen is black, but the monitor has locked.";
  const missing = [
    ["red", red],
    ["green", green],
    ["blue", blue],
  ] as const;
  const dark = missing.filter(([, share]) => share < 0.02).map(([name]) => name);
  if (dark.length > 0) return `There is no ${dark.join(" and no ")} in the picture.`;
  const rates = good?.locked === true && Math.abs(screen.frameHz - good.frameHz) > SAME_RATE * good.frameHz;
  if (rates) return `The picture stands, at ${screen.frameHz.toFixed(2)} frames a second.`;
  const differs = good?.locked === true ? differenceOf(screen.cells, good.cells) : 1;
  return differs < 0.05 ? "Parts of the picture are wrong." : "The picture is scrambled.";
}

const NO_PICTURE = {
  "no horizontal sync": "No picture: there is no horizontal sync.",
  "no vertical sync": "No picture: there is no vertical sync.",
  "unsteady lines": "The picture tears: the lines are not alike.",
  "unsteady frames": "The picture rolls or jumps: the frames are not alike.",
  "no whole lines": "The picture shivers: a frame is no whole number of lines.",
  "out of range": "No picture: a rate is beyond what the monitor follows.",
  "record too short": "No picture: frames are too long for the monitor.",
} as const;

function brightness(cells: Uint8Array): number[] {
  const sums = [0, 0, 0];
  cells.forEach((value, index) => (sums[index % 3] = (sums[index % 3] ?? 0) + value / (CELLS_WIDE * CELLS_HIGH)));
  return sums;
}
