import { Pica } from "pica";
import type { ColourImage } from "./colour-image.js";

/**
 * How a picture comes into its place: `fit` shows all of it, with bars; `fill` cuts off what does not fit; `stretch` bends it;
 * `as it is` takes it dot for dot, from the middle.
 */
export const fits = ["fit", "fill", "stretch", "as it is"] as const;
export type Fit = (typeof fits)[number];

/** Filters as published: box, Hamming, Lanczos with two and three lobes, and magic kernel sharp (J. P. Costella, 2013, 2021). */
export const filters = ["box", "hamming", "lanczos2", "lanczos3", "mks2013"] as const;
export type Filter = (typeof filters)[number];

/** A part of a picture, in its own dots. */
export interface Crop {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface FitSettings {
  readonly width: number;
  readonly height: number;
  readonly fit: Fit;
  readonly filter: Filter;
  /** Width of a dot over its height, as the screen shows it. */
  readonly dotShape: number;
  readonly crop?: Crop;
}

const pica = new Pica({ features: ["js"] });

/** Brings a picture to a size; what it does not cover is clear. */
export async function fitPicture(image: ColourImage, settings: FitSettings): Promise<ColourImage> {
  const { width, height, fit, filter, dotShape } = settings;
  const part = settings.crop ? cut(image, settings.crop) : image;
  if (fit === "as it is" || (part.width === width && part.height === height)) return centred(part, width, height);
  // Sizes in dots of the screen: a dot that is wider than high takes more of the picture's width.
  const [across, down] = [width / (part.width / dotShape), height / part.height];
  const scale = fit === "fill" ? Math.max(across, down) : Math.min(across, down);
  const toWidth = fit === "stretch" ? width : whole((part.width / dotShape) * scale);
  const toHeight = fit === "stretch" ? height : whole(part.height * scale);
  if (fit === "fill") {
    // Only what will be seen is scaled.
    const seen = {
      width: Math.min(part.width, whole((width / scale) * dotShape)),
      height: Math.min(part.height, whole(height / scale)),
    };
    const x = Math.floor((part.width - seen.width) / 2);
    const y = Math.floor((part.height - seen.height) / 2);
    return scaled(cut(part, { x, y, ...seen }), width, height, filter);
  }
  return centred(await scaled(part, toWidth, toHeight, filter), width, height);
}

function whole(side: number): number {
  return Math.max(1, Math.round(side));
}

async function scaled(image: ColourImage, toWidth: number, toHeight: number, filter: Filter): Promise<ColourImage> {
  const { width, height, data } = image;
  const src = data.slice();
  const made = await pica.resizeBuffer({ src, width, height, toWidth, toHeight, filter });
  return { width: toWidth, height: toHeight, data: new Uint8Array(made) };
}

function cut({ width, height, data }: ColourImage, crop: Crop): ColourImage {
  const part = new Uint8Array(crop.width * crop.height * 4);
  for (let y = 0; y < crop.height; y++) {
    const [from, to] = [Math.max(0, crop.x), Math.min(width, crop.x + crop.width)];
    const row = crop.y + y;
    if (row < 0 || row >= height || to <= from) continue;
    part.set(data.subarray(4 * (row * width + from), 4 * (row * width + to)), 4 * (y * crop.width + from - crop.x));
  }
  return { width: crop.width, height: crop.height, data: part };
}

function centred(image: ColourImage, width: number, height: number): ColourImage {
  if (image.width === width && image.height === height) return image;
  const x = Math.floor((image.width - width) / 2);
  const y = Math.floor((image.height - height) / 2);
  return cut(image, { x, y, width, height });
}
