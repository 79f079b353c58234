import { DIGIT_HEIGHT, drawNumber } from "./digits.js";
import { type Picture, blackPicture } from "./picture.js";

/** A rectangle of dots; right and bottom are one past the last. */
interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** Sets a dot white. Dots outside the card are left out. */
type Pen = (x: number, y: number) => void;

const BYTE = 8;
/** Dots between numbers along the rulers. */
const NUMBERED = 64;
/** Room that rulers and corner marks take on each side. */
const MARGIN = 16;
const GAP = 8;
const STRIPE_PERIODS = [2, 4, 8, 16] as const;

/**
 * A picture of one bit a dot in which each likely mistake shows: a frame one dot wide (lost first or last column or row), a
 * different mark in each corner (mirrored, upside down), rulers with a tick for every byte and a number every eight (bytes
 * swapped or repeated), stripes (stuck or crossed data and address wires, wrong bit order), a diagonal (slipped lines) and a
 * circle (wrong proportions). Drawn by rule, the same every time. What does not fit a small card is left out. `dotShape` is
 * the width of a dot over its height, so that the circle is round on the screen.
 */
export function drawTestCard(width: number, height: number, dotShape = 1): Picture {
  const card = blackPicture(width, height);
  const pen: Pen = (x, y) => {
    if (x >= 0 && x < width && y >= 0 && y < height) card.dots[y * width + x] = 1;
  };
  const whole: Box = { left: 0, top: 0, right: width, bottom: height };

  drawFrame(whole, pen);
  drawRulers(whole, pen);
  drawCornerMarks(whole, pen);

  const inside: Box = { left: MARGIN, top: MARGIN, right: width - MARGIN, bottom: height - MARGIN };
  const [upright, level, shapes] = splitDown(inside, 3);
  drawStripes(upright, (x) => x, pen);
  drawStripes(level, (_, y) => y, pen);
  const [left, right] = splitAcross(shapes, 2);
  drawDiagonal(left, pen);
  drawCircle(right, dotShape, pen);
  return card;
}

function drawFrame({ left, top, right, bottom }: Box, pen: Pen): void {
  for (let x = left; x < right; x++) {
    pen(x, top);
    pen(x, bottom - 1);
  }
  for (let y = top; y < bottom; y++) {
    pen(left, y);
    pen(right - 1, y);
  }
}

function drawRulers({ right, bottom }: Box, pen: Pen): void {
  const tick = (place: number) => (place % NUMBERED === 0 ? 7 : 2);
  for (let x = BYTE; x < right - 1; x += BYTE) {
    for (let y = 1; y <= tick(x); y++) pen(x, y);
    if (x % NUMBERED === 0 && x < right - MARGIN) drawNumber(x, x + 2, 4, pen);
  }
  for (let y = BYTE; y < bottom - 1; y += BYTE) {
    for (let x = 1; x <= tick(y); x++) pen(x, y);
    if (y % NUMBERED === 0 && y < bottom - MARGIN) drawNumber(y, 2, y + 2, pen);
  }
}

function drawCornerMarks({ right, bottom }: Box, pen: Pen): void {
  const size = 7;
  const near = 4;
  const [farX, farY] = [right - near - size, bottom - near - size];
  if (farX < near + size || farY < near + size) return;
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      const isEdge = x === 0 || y === 0 || x === size - 1 || y === size - 1;
      pen(near + x, near + y); // full square
      if (isEdge) pen(farX + x, near + y); // empty square
      if (x <= y) pen(near + x, farY + y); // triangle
      if (x === y || x === size - 1 - y) pen(farX + x, farY + y); // cross
    }
  }
}

/** Four fields of stripes side by side, each with its period in dots written above it. */
function drawStripes(box: Box, along: (x: number, y: number) => number, pen: Pen): void {
  const fields = splitAcross(box, STRIPE_PERIODS.length);
  STRIPE_PERIODS.forEach((period, index) => {
    const field = fields[index];
    if (!field) return;
    const top = field.top + DIGIT_HEIGHT + 3;
    const bottom = field.bottom - GAP;
    const right = field.right - GAP;
    if (bottom - top < period || right - field.left < period) return;
    drawNumber(period, field.left, field.top, pen);
    for (let y = top; y < bottom; y++) {
      for (let x = field.left; x < right; x++) {
        if (along(x - field.left, y - top) % period < period / 2) pen(x, y);
      }
    }
  });
}

function drawDiagonal({ left, top, right, bottom }: Box, pen: Pen): void {
  const [across, down] = [right - GAP - left - 1, bottom - top - 1];
  const steps = Math.max(across, down);
  if (Math.min(across, down) < BYTE) return;
  for (let step = 0; step <= steps; step++) {
    pen(left + Math.round((step * across) / steps), top + Math.round((step * down) / steps));
  }
}

function drawCircle({ left, top, right, bottom }: Box, dotShape: number, pen: Pen): void {
  const [middleX, middleY] = [(left + right - 1) / 2, (top + bottom - 1) / 2];
  const radius = Math.min(((right - left) * dotShape) / 2, (bottom - top) / 2) - 1;
  if (radius < BYTE) return;
  // As wide as the larger side of a dot, so that the line has no gaps.
  const thickness = Math.max(1, dotShape);
  for (let y = top; y < bottom; y++) {
    for (let x = left; x < right; x++) {
      const distance = Math.hypot((x - middleX) * dotShape, y - middleY);
      if (Math.abs(distance - radius) <= thickness / 2) pen(x, y);
    }
  }
}

function splitDown({ left, top, right, bottom }: Box, parts: 3): [Box, Box, Box];
function splitDown({ left, top, right, bottom }: Box, parts: number): Box[] {
  const size = Math.floor((bottom - top) / parts);
  return Array.from({ length: parts }, (_, i) => ({ left, right, top: top + i * size, bottom: top + (i + 1) * size }));
}

/** Parts begin on a byte, so that stripes tell the order of the bits. */
function splitAcross(box: Box, parts: 2): [Box, Box];
function splitAcross(box: Box, parts: number): Box[];
function splitAcross({ left, top, right, bottom }: Box, parts: number): Box[] {
  const size = Math.floor((right - left) / parts / BYTE) * BYTE;
  return Array.from({ length: parts }, (_, i) => ({
    left: left + i * size,
    right: left + (i + 1) * size,
    top,
    bottom,
  }));
}
