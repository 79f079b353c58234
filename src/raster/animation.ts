import { type Picture, blackPicture } from "./picture.js";
import { type PngChunk, pngChunks, pngFile } from "./png-chunks.js";
import { encodePng } from "./png.js";

/** A part of a picture, in dots from its top left. */
interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** A frame on its way into the file: compressed dots of the part that is new. */
interface Frame {
  readonly box: Box;
  /** In seconds. */
  readonly seconds: number;
  readonly data: readonly Uint8Array[];
}

/** What an animated PNG has room for in each part of a frame's time, a fraction of a second. */
const MOST_IN_FRACTION = 0xffff;

/**
 * Frames of one size and depth on their way into an animated PNG (W3C Portable Network Graphics, third edition, 11.3.4),
 * which repeats without end. Programs that know no animation show the first frame. Of each further frame only the rectangle
 * that is new is kept.
 */
export class Animation {
  private readonly frames: Frame[] = [];
  private header: PngChunk | undefined;
  private last: Picture | undefined;

  /** Number of frames so far. */
  get length(): number {
    return this.frames.length;
  }

  /** Adds a frame that is shown for so many seconds. Throws RangeError when it is not of the others' size and depth. */
  add(picture: Picture, seconds: number): void {
    const { last } = this;
    if (last && !isAlike(last, picture)) {
      throw new RangeError(
        `a frame of ${picture.width} by ${picture.height} dots cannot follow others of ${last.width} by ${last.height}`,
      );
    }
    const box = last ? changedBox(last, picture) : { x: 0, y: 0, width: picture.width, height: picture.height };
    const chunks = pngChunks(encodePng(cut(picture, box)));
    this.header ??= chunks.find(({ type }) => type === "IHDR");
    const data = chunks.filter(({ type }) => type === "IDAT").map((chunk) => chunk.data);
    this.frames.push({ box, seconds, data });
    this.last = picture;
  }

  /** The file. Throws RangeError when there is no frame. */
  encode(): Uint8Array {
    const { header, frames } = this;
    if (!header) throw new RangeError("an animation needs a frame");
    const chunks: PngChunk[] = [header, { type: "acTL", data: numbers([4, frames.length], [4, 0]) }];
    let sequence = 0;
    frames.forEach((frame, index) => {
      chunks.push({ type: "fcTL", data: frameControl(frame, sequence++) });
      for (const data of frame.data) {
        if (index === 0) chunks.push({ type: "IDAT", data });
        else chunks.push({ type: "fdAT", data: joined(numbers([4, sequence++]), data) });
      }
    });
    return pngFile([...chunks, { type: "IEND", data: new Uint8Array() }]);
  }
}

function isAlike(a: Picture, b: Picture): boolean {
  const sameDepth = JSON.stringify(a.depth) === JSON.stringify(b.depth);
  return a.width === b.width && a.height === b.height && sameDepth;
}

/** The smallest rectangle outside of which two pictures are equal; one dot where they are equal all over. */
function changedBox(before: Picture, after: Picture): Box {
  const { width, height } = after;
  let [left, right, top, bottom] = [width, -1, height, -1];
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const index = y * width + x;
      if (before.dots[index] === after.dots[index]) continue;
      left = Math.min(left, x);
      right = Math.max(right, x);
      top = Math.min(top, y);
      bottom = y;
    }
  }
  return right < 0
    ? { x: 0, y: 0, width: 1, height: 1 }
    : { x: left, y: top, width: right - left + 1, height: bottom - top + 1 };
}

function cut(picture: Picture, { x, y, width, height }: Box): Picture {
  if (width === picture.width && height === picture.height) return picture;
  const part = blackPicture(width, height, picture.depth);
  for (let row = 0; row < height; row++) {
    const start = (y + row) * picture.width + x;
    part.dots.set(picture.dots.subarray(start, start + width), row * width);
  }
  return part;
}

/** Leaves what was there (dispose 0) and puts the rectangle over it (blend 0). */
function frameControl({ box: { x, y, width, height }, seconds }: Frame, sequence: number): Uint8Array {
  const [numerator, denominator] = fractionOf(seconds);
  return numbers(
    [4, sequence],
    [4, width],
    [4, height],
    [4, x],
    [4, y],
    [2, numerator],
    [2, denominator],
    [1, 0],
    [1, 0],
  );
}

/** The time as a fraction of numbers of 16 bits: exact to some ten millionths for the times of frames. */
function fractionOf(seconds: number): [numerator: number, denominator: number] {
  if (seconds >= 1) return [Math.min(MOST_IN_FRACTION, Math.round(seconds)), 1];
  const numerator = Math.max(1, Math.floor(seconds * MOST_IN_FRACTION));
  return [numerator, Math.min(MOST_IN_FRACTION, Math.round(numerator / seconds))];
}

/** Numbers, each of so many bytes, the most significant first. */
function numbers(...parts: readonly (readonly [bytes: number, value: number])[]): Uint8Array {
  return Uint8Array.from(
    parts.flatMap(([bytes, value]) => Array.from({ length: bytes }, (_, place) => value >>> (8 * (bytes - 1 - place)))),
  );
}

function joined(one: Uint8Array, other: Uint8Array): Uint8Array {
  const both = new Uint8Array(one.length + other.length);
  both.set(one);
  both.set(other, one.length);
  return both;
}
