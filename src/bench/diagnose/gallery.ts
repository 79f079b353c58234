import { FREQUENCY, type Fault } from "../faults/fault.js";
import type { ScreenSignature } from "../signature/screen-signature.js";
import type { Signature } from "../signature/simulate-group.js";
import { isSameRate, lookText } from "./look-text.js";

/** Faults that look alike on the screen. */
export interface Look {
  /** From 1, the commonest first. */
  readonly number: number;
  readonly screen: ScreenSignature;
  /** Positions of its faults, the likeliest first. */
  readonly faults: readonly number[];
  /** What one sees, in a sentence that other looks may share, and by what this one differs from them. */
  readonly text: string;
  readonly detail?: string;
  readonly isUsual: boolean;
}

/** Pictures that differ less than this, as a share of full white on the mean, look alike. Our own choice. */
const ALIKE = 0.012;

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
  signatures.forEach((signature, fault) => {
    for (const screen of screensOf(signature)) groups[groupOf(screen)]?.members.add(fault);
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
    .map((group, index) => ({ number: index + 1, ...group, ...lookText(group.screen, good, group.isUsual) }));
}

/** What the screen shows of a board in each of its ways; nothing where the circuit has no picture. */
export function screensOf(signature: Signature | undefined): readonly ScreenSignature[] {
  return signature?.isShorted ? [DARK, DARK] : (signature?.screens ?? []);
}

const DARK: ScreenSignature = { locked: false, reason: "no horizontal sync" };

/** Whether a person would take two screens for the same. */
export function looksLike(a: ScreenSignature, b: ScreenSignature): boolean {
  if (!a.locked || !b.locked) return !a.locked && !b.locked && a.reason === b.reason;
  return isSameRate(b.lineHz, a.lineHz) && isSameRate(b.frameHz, a.frameHz) && isNear(a.cells, b.cells, ALIKE);
}

/** Whether two pictures differ less than a share of full light on the mean. Most differ far more, which soon shows. */
function isNear(a: Uint8Array, b: Uint8Array, share: number): boolean {
  let left = share * 255 * a.length;
  for (let index = 0; index < a.length && left > 0; index++) left -= Math.abs((a[index] ?? 0) - (b[index] ?? 0));
  return left > 0;
}
