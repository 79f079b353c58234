import { distance, image as quantizers, utils } from "image-q";
import type { ColourImage } from "./colour-image.js";

/**
 * How levels between are shown: `none` takes the nearest colour; `ordered` is Bayer's matrix (1973); the others share each
 * dot's error out among its neighbours, by the weights of those after whom they are called.
 */
export const dithers = [
  "none",
  "ordered",
  "floyd-steinberg",
  "false floyd-steinberg",
  "jarvis",
  "stucki",
  "burkes",
  "sierra",
  "two-row sierra",
  "sierra lite",
  "atkinson",
  "riemersma",
] as const;
export type Dither = (typeof dithers)[number];

const { ErrorDiffusionArrayKernel: Kernel } = quantizers;
const kernels: Partial<Record<Dither, quantizers.ErrorDiffusionArrayKernel>> = {
  "floyd-steinberg": Kernel.FloydSteinberg,
  "false floyd-steinberg": Kernel.FalseFloydSteinberg,
  jarvis: Kernel.Jarvis,
  stucki: Kernel.Stucki,
  burkes: Kernel.Burkes,
  sierra: Kernel.Sierra,
  "two-row sierra": Kernel.TwoSierra,
  "sierra lite": Kernel.SierraLite,
  atkinson: Kernel.Atkinson,
};

/** Colours that a dot can have: red, green and blue, 0 to 255. */
export type Palette = readonly (readonly [number, number, number])[];

export interface DitherSettings {
  readonly dither: Dither;
  /** Added to every level, and times what they differ from the middle is taken; 0 and 1 change nothing. */
  readonly brightness?: number;
  readonly contrast?: number;
  readonly negative?: boolean;
}

/**
 * Of each dot the number of its colour in the palette; -1 where the picture is more than half clear. Pictures on palettes of
 * greys are made grey first, with the luma weights of ITU-R BT.601.
 */
export function ditherPicture(picture: ColourImage, palette: Palette, settings: DitherSettings): Int32Array {
  const isGrey = palette.every(([red, green, blue]) => red === green && green === blue);
  const levels = prepared(picture, isGrey, settings);
  const numbers =
    settings.dither === "ordered"
      ? ordered(picture, levels, palette)
      : shared(picture, levels, palette, settings.dither);
  for (let dot = 0; dot < numbers.length; dot++) if ((picture.data[4 * dot + 3] ?? 0) < 128) numbers[dot] = -1;
  return numbers;
}

/** Levels as they are to be shown; what is clear is black. */
function prepared({ data }: ColourImage, isGrey: boolean, settings: DitherSettings): Uint8Array {
  const { brightness = 0, contrast = 1, negative = false } = settings;
  const levels = new Uint8Array(data.length);
  for (let at = 0; at < data.length; at += 4) {
    const colour = [data[at] ?? 0, data[at + 1] ?? 0, data[at + 2] ?? 0] as const;
    const luma = 0.299 * colour[0] + 0.587 * colour[1] + 0.114 * colour[2];
    for (let part = 0; part < 3; part++) {
      const plain = isGrey ? luma : (colour[part] ?? 0);
      const level = Math.max(0, Math.min(255, Math.round((plain - 128) * contrast + 128 + brightness)));
      levels[at + part] = (data[at + 3] ?? 0) < 128 ? 0 : negative ? 255 - level : level;
    }
    levels[at + 3] = 255;
  }
  return levels;
}

function shared({ width, height }: ColourImage, levels: Uint8Array, palette: Palette, dither: Dither): Int32Array {
  const colours = new utils.Palette();
  const words = new Map<number, number>();
  palette.forEach(([red, green, blue], number) => {
    const point = utils.Point.createByRGBA(red, green, blue, 255);
    if (!words.has(point.uint32)) colours.add(point);
    if (!words.has(point.uint32)) words.set(point.uint32, number);
  });
  const measure = new distance.Euclidean();
  const kernel = kernels[dither];
  const quantizer =
    dither === "riemersma"
      ? new quantizers.ErrorDiffusionRiemersma(measure)
      : kernel === undefined
        ? new quantizers.NearestColor(measure)
        : new quantizers.ErrorDiffusionArray(measure, kernel, false, 0, true);
  const made = quantizer.quantizeSync(utils.PointContainer.fromUint8Array(levels, width, height), colours);
  return Int32Array.from(made.toUint32Array(), (word) => words.get(word) ?? 0);
}

/** Bayer's 8 x 8 matrix: thresholds 0 to 63, made by its rule. */
const BAYER = Array.from({ length: 64 }, (_, at) => {
  const [x, y] = [at % 8, Math.floor(at / 8)];
  let value = 0;
  for (let bit = 0; bit < 3; bit++) {
    value = 4 * value + 2 * (((x ^ y) >> bit) & 1) + ((y >> bit) & 1);
  }
  return value;
});

/** Each level is lifted or lowered by the matrix, by up to half the distance between neighbouring levels of the palette. */
function ordered({ width, height }: ColourImage, levels: Uint8Array, palette: Palette): Int32Array {
  const steps = [0, 1, 2].map((part) => {
    const different = [...new Set(palette.map((colour) => colour[part] ?? 0))];
    return different.length < 2 ? 0 : (Math.max(...different) - Math.min(...different)) / (different.length - 1);
  });
  const numbers = new Int32Array(width * height);
  for (let dot = 0; dot < numbers.length; dot++) {
    const threshold = ((BAYER[8 * (Math.floor(dot / width) % 8) + ((dot % width) % 8)] ?? 0) + 0.5) / 64 - 0.5;
    let least = Infinity;
    palette.forEach((colour, number) => {
      let far = 0;
      for (let part = 0; part < 3; part++) {
        far += ((levels[4 * dot + part] ?? 0) + threshold * (steps[part] ?? 0) - (colour[part] ?? 0)) ** 2;
      }
      if (far >= least) return;
      least = far;
      numbers[dot] = number;
    });
  }
  return numbers;
}
