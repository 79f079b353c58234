import { CELLS_HIGH, CELLS_WIDE } from "../signature/screen-cells.js";
import type { ScreenSignature } from "../signature/screen-signature.js";

/** What one says of a screen, so that many looks share it, and what tells it from others of which one says the same. */
export interface LookText {
  readonly text: string;
  /** `89.91 frames a second`. */
  readonly detail?: string;
}

/** Syncs whose rates differ less than this look alike: a monitor shows the same. */
const SAME_RATE = 0.01;

/** Whether a monitor shows a rate as it does the right one. */
export function isSameRate(one: number, right: number): boolean {
  return Math.abs(one - right) <= SAME_RATE * right;
}

/** Shares of full light on the mean; all our own choice. */
const DARK = 0.02;
const LIT = 0.97;
/** A difference that is so many times smaller after a change explains a picture by it. */
const EXPLAINED = 0.3;
/** Lines, or columns, that differ less than so much of what the right ones do are alike. */
const ALIKE = 0.05;
/** Where so many columns or lines are right, the others are strips. */
const CLEAN = 0.25;
/** How much neighbours in snow differ on the mean, in both directions; cells of dots at random do by 0.28. */
const ROUGH = 0.2;
/** Cells of a side of a patch that is looked at for snow. */
const PATCH = 10;
/** Neighbouring cells of snow have nothing in common. */
const SNOW = 0.25;

const NO_PICTURE = {
  "no horizontal sync": "No picture: there is no horizontal sync.",
  "no vertical sync": "No picture: there is no vertical sync.",
  "unsteady lines": "The picture tears: the lines are not alike.",
  "unsteady frames": "The picture rolls or jumps: the frames are not alike.",
  "no whole lines": "The picture shivers: a frame is no whole number of lines.",
  "out of range": "No picture: a rate is beyond what the monitor follows.",
  "record too short": "No picture: frames are too long for the monitor.",
} as const;

/** What was said of screens: a gallery that grows asks for the same ones again. */
const said = new WeakMap<ScreenSignature, { readonly good: ScreenSignature; readonly text: LookText }>();

/** Says what one sees, against what is right. */
export function lookText(screen: ScreenSignature, good: ScreenSignature | undefined, isUsual: boolean): LookText {
  if (!screen.locked) return { text: NO_PICTURE[screen.reason] };
  if (isUsual) return { text: "The picture is right." };
  if (good?.locked !== true) return { text: "There is a picture." };
  if (!isSameRate(screen.frameHz, good.frameHz)) {
    const text = `The picture stands, but at ${screen.frameHz > good.frameHz ? "more" : "fewer"} frames a second.`;
    return { text, detail: `${screen.frameHz.toFixed(2)} in place of ${good.frameHz.toFixed(2)} frames a second` };
  }
  if (!isSameRate(screen.lineHz, good.lineHz)) {
    const text = `The picture stands, but at ${screen.lineHz > good.lineHz ? "more" : "fewer"} lines a second.`;
    return { text, detail: `${screen.lineHz.toFixed(0)} in place of ${good.lineHz.toFixed(0)} lines a second` };
  }
  const known = said.get(screen);
  if (known?.good === good) return known.text;
  const text = { text: coloursText(screen.cells, good.cells) ?? formText(lightOf(screen.cells), lightOf(good.cells)) };
  said.set(screen, { good, text });
  return text;
}

/** What is said of light and colour as a whole; undefined where all colours are there. */
function coloursText(cells: Uint8Array, right: Uint8Array): string | undefined {
  const [own, usual] = [brightness(cells), brightness(right)];
  if (own.every((share) => share < DARK)) return "The screen stays black, though the monitor has locked.";
  if (own.every((share) => share > LIT)) return "The screen is lit all over.";
  const names = ["red", "green", "blue"];
  const among = (test: (share: number, of: number) => boolean) =>
    names.filter((_, colour) => test(own[colour] ?? 0, usual[colour] ?? 0));
  const missing = among((share, of) => share < DARK && of >= DARK);
  if (missing.length > 0) return `There is no ${missing.join(" and no ")} in the picture.`;
  const whole = among((share, of) => share > LIT && of <= LIT);
  return whole.length > 0 ? `There is ${whole.join(" and ")} all over the screen.` : undefined;
}

/** What is said of the form, by the light alone. */
function formText(own: Float64Array, right: Float64Array): string {
  const distance = difference(own, right);
  const turned = right.map((value) => 1 - value);
  if (difference(own, turned) < EXPLAINED * difference(right, turned)) return "Light and dark are exchanged.";
  const shift = shiftOf(own, right, distance);
  if (shift !== undefined) return `The picture stands too far ${shift}.`;
  const usual = difference(right, right, 1, 0) + difference(right, right, 0, 1);
  if (difference(own, own, 0, 1) < ALIKE * usual) return "Every line shows the same: stripes from top to bottom.";
  if (difference(own, own, 1, 0) < ALIKE * usual) return "Every line is of one colour: stripes from left to right.";
  if (repeats(own, right, "x")) return "The picture repeats from left to right.";
  if (repeats(own, right, "y")) return "The picture repeats from top to bottom.";
  if (likenessOf(own) < SNOW * likenessOf(right)) return "Dots at random all over: snow.";
  const [more, less] = [surplus(own, right), surplus(right, own)];
  if (less < 0.1 * more) return "All of the picture is there, and light where none should be.";
  if (more < 0.1 * less) return "Parts of the picture are dark.";
  if (snowyShare(own, right) > 0.15) return "Snow over part of the picture.";
  if (cleanShare(own, right, "columns") > CLEAN) return "Upright strips of the picture are wrong.";
  if (cleanShare(own, right, "lines") > CLEAN) return "Strips across the picture are wrong.";
  return distance < 0.05 ? "Small parts of the picture are wrong." : "Pieces of the picture stand where others should.";
}

/** Which way a picture went that is the right one elsewhere. */
function shiftOf(own: Float64Array, right: Float64Array, distance: number): string | undefined {
  const [columns, lines] = [profileOf(own, "columns"), profileOf(own, "lines")];
  const [usualColumns, usualLines] = [profileOf(right, "columns"), profileOf(right, "lines")];
  let best: { readonly dx: number; readonly dy: number; readonly left: number } | undefined;
  const look = (dx: number, dy: number) => {
    // Sums of columns and lines differ no more than pictures do: most places are ruled out by them.
    const least = dx === 0 ? rolledDifference(lines, usualLines, dy) : rolledDifference(columns, usualColumns, dx);
    if (least >= EXPLAINED * distance) return;
    const left = difference(own, right, dx, dy);
    if (left < EXPLAINED * distance && left < (best?.left ?? Infinity)) best = { dx, dy, left };
  };
  for (let dx = -CELLS_WIDE / 2; dx < CELLS_WIDE / 2; dx++) look(dx, 0);
  for (let dy = -CELLS_HIGH / 2; dy < CELLS_HIGH / 2; dy++) look(0, dy);
  if (!best) return undefined;
  if (best.dx !== 0) return best.dx < 0 ? "to the left" : "to the right";
  return best.dy < 0 ? "up" : "down";
}

/** Whether a half or less of a picture comes again, which it does not in the right one. */
function repeats(own: Float64Array, right: Float64Array, along: "x" | "y"): boolean {
  return [2, 4, 8].some((parts) => {
    const [dx, dy] = along === "x" ? [CELLS_WIDE / parts, 0] : [0, Math.round(CELLS_HIGH / parts)];
    return difference(own, own, dx, dy) < EXPLAINED * difference(right, right, dx, dy);
  });
}

/** The share of patches in which neighbours have little in common that are alike in the right picture. */
function snowyShare(own: Float64Array, right: Float64Array): number {
  let snowy = 0;
  for (let top = 0; top < CELLS_HIGH; top += PATCH) {
    for (let left = 0; left < CELLS_WIDE; left += PATCH) {
      if (roughness(own, left, top) > ROUGH && roughness(right, left, top) < ROUGH / 2) snowy++;
    }
  }
  return (snowy * PATCH * PATCH) / (CELLS_WIDE * CELLS_HIGH);
}

/** How neighbours in a patch differ on the mean, the lesser of across and down: stripes are rough one way only. */
function roughness(light: Float64Array, left: number, top: number): number {
  let [across, down] = [0, 0];
  for (let y = top + 1; y < top + PATCH; y++) {
    for (let x = left + 1; x < left + PATCH; x++) {
      const own = light[y * CELLS_WIDE + x] ?? 0;
      across += Math.abs(own - (light[y * CELLS_WIDE + x - 1] ?? 0));
      down += Math.abs(own - (light[(y - 1) * CELLS_WIDE + x] ?? 0));
    }
  }
  return Math.min(across, down) / (PATCH - 1) ** 2;
}

/** The share of columns, or of lines, that are as they should be, among those that have anything in them. */
function cleanShare(own: Float64Array, right: Float64Array, of: "columns" | "lines"): number {
  const wrong = profileOf(
    own.map((value, cell) => Math.abs(value - (right[cell] ?? 0))),
    of,
  );
  const lit = profileOf(right, of);
  const some = wrong.filter((_, at) => (lit[at] ?? 0) > DARK || (wrong[at] ?? 0) > DARK);
  return some.filter((value) => value < DARK / 2).length / Math.max(1, some.length);
}

/** How much more alike neighbours are than cells far apart. */
function likenessOf(light: Float64Array): number {
  const far = difference(light, light, 37, 23);
  return far === 0 ? 1 : Math.max(0, 1 - difference(light, light, 1, 0) / far);
}

/** Light of each cell, 0 to 1. */
function lightOf(cells: Uint8Array): Float64Array {
  return Float64Array.from({ length: CELLS_WIDE * CELLS_HIGH }, (_, cell) => {
    return ((cells[3 * cell] ?? 0) + (cells[3 * cell + 1] ?? 0) + (cells[3 * cell + 2] ?? 0)) / 765;
  });
}

/** The mean light of each column, or of each line of cells. */
function profileOf(light: Float64Array, of: "columns" | "lines"): Float64Array {
  const sums = new Float64Array(of === "columns" ? CELLS_WIDE : CELLS_HIGH);
  light.forEach((value, cell) => {
    const at = of === "columns" ? cell % CELLS_WIDE : Math.floor(cell / CELLS_WIDE);
    sums[at] = (sums[at] ?? 0) + (value * sums.length) / light.length;
  });
  return sums;
}

function rolledDifference(a: Float64Array, b: Float64Array, by: number): number {
  let sum = 0;
  for (let at = 0; at < a.length; at++) sum += Math.abs((a[at] ?? 0) - (b[(at - by + b.length) % b.length] ?? 0));
  return sum / a.length;
}

/** How two pictures differ where the second is moved to the right and down; what leaves it comes in at the other side. */
function difference(a: Float64Array, b: Float64Array, dx = 0, dy = 0): number {
  let sum = 0;
  for (let y = 0; y < CELLS_HIGH; y++) {
    const [line, other] = [y * CELLS_WIDE, ((y - dy + CELLS_HIGH) % CELLS_HIGH) * CELLS_WIDE];
    for (let x = 0, from = (CELLS_WIDE - dx) % CELLS_WIDE; x < CELLS_WIDE; x++) {
      sum += Math.abs((a[line + x] ?? 0) - (b[other + from] ?? 0));
      if (++from === CELLS_WIDE) from = 0;
    }
  }
  return sum / a.length;
}

/** Light of one picture that the other does not have. */
function surplus(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let cell = 0; cell < a.length; cell++) sum += Math.max(0, (a[cell] ?? 0) - (b[cell] ?? 0));
  return sum / a.length;
}

/** Shares of full red, green and blue on the mean. */
function brightness(cells: Uint8Array): readonly number[] {
  const sums = [0, 0, 0];
  cells.forEach((value, index) => (sums[index % 3] = (sums[index % 3] ?? 0) + value));
  return sums.map((sum) => sum / (255 * CELLS_WIDE * CELLS_HIGH));
}
