import { formatProblem } from "../circuit/index.js";
import {
  type Crop,
  type Font,
  type Layer,
  decodePicture,
  type Dither,
  type Filter,
  type Fit,
  filesNamedIn,
  isRefused,
  ownFont,
  readFont,
  readLoadingList,
} from "../loading/index.js";
import type { FileBytes } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { filesBeside } from "./files-beside.js";
import { readBytes, readText } from "./files.js";
import { unpacked } from "./unpack.js";

/** What the command line says is to be shown. */
export interface AskedLayers {
  readonly picture: string | undefined;
  readonly text: string | undefined;
  readonly testCard: boolean;
  readonly script: string | undefined;
  readonly font: string | undefined;
  readonly fit: Fit;
  readonly filter: Filter;
  readonly dither: Dither;
  readonly crop: string | undefined;
  readonly brightness: number;
  readonly contrast: number;
  readonly negative: boolean;
  readonly at: string | undefined;
  readonly align: "left" | "centre" | "right";
  readonly scale: number;
  readonly inverse: boolean;
}

export interface ReadLayers {
  readonly layers: readonly Layer[];
  /** The font of a character ROM, where one was named. */
  readonly font?: Font;
}

/**
 * Makes layers of what the command line asks for: a list first, over it a test card, a picture and a text.
 *
 * @throws BadInput with one line for every mistake
 */
export async function readLayers(
  asked: AskedLayers,
  size: { readonly width: number; readonly height: number },
): Promise<ReadLayers> {
  const list = asked.script === undefined ? { layers: [] } : await readList(asked.script, size);
  const font = asked.font === undefined ? list.font : await readFontFile(asked.font);
  const layers: Layer[] = [...list.layers];
  if (asked.testCard) layers.push({ kind: "test card" });
  if (asked.picture !== undefined) layers.push(await pictureLayer(asked.picture, asked));
  if (asked.text !== undefined) {
    const { align, scale, inverse } = asked;
    const [x, y] = asked.at === undefined ? [0, 0] : numbersOf("--at", asked.at, 2, "x,y");
    const place = { x: x ?? 0, y: y ?? 0 };
    // A shell hands over \n as two letters.
    const text = asked.text.replaceAll("\\n", "\n");
    layers.push({ kind: "text", text, font: font ?? ownFont(), place, align, scale, leading: 0, inverse });
  }
  return { layers, ...(font && { font }) };
}

async function pictureLayer(file: string, asked: AskedLayers): Promise<Layer> {
  const image = decodePicture(await readBytes(file));
  if (isRefused(image)) throw new BadInput(`${file}: ${image.problem}`);
  const { fit, filter, dither, brightness, contrast, negative } = asked;
  const crop = asked.crop === undefined ? undefined : cropOf(asked.crop);
  if (crop && (crop.x + crop.width > image.width || crop.y + crop.height > image.height)) {
    throw new BadInput(`--crop ${asked.crop}: reaches beyond the picture's ${image.width} x ${image.height} dots`);
  }
  return {
    kind: "picture",
    image,
    fit,
    filter,
    ...(crop && { crop }),
    tone: { dither, brightness, contrast, negative },
  };
}

function cropOf(text: string): Crop {
  const [x = 0, y = 0, width = 0, height = 0] = numbersOf("--crop", text, 4, "x,y,width,height");
  if (width === 0 || height === 0) throw new BadInput(`--crop ${text}: a part of a picture has a width and a height`);
  return { x, y, width, height };
}

function numbersOf(option: string, text: string, count: number, form: string): readonly number[] {
  const parts = text.split(",").map((part) => part.trim());
  if (parts.length === count && parts.every((part) => /^\d{1,5}$/.test(part))) return parts.map(Number);
  throw new BadInput(`${option} ${text}: ${form} in whole dots was expected`);
}

/** @throws BadInput where the file is no font */
export async function readFontFile(file: string): Promise<Font> {
  const font = readFont(unpacked(await readBytes(file), file));
  if (isRefused(font)) throw new BadInput(`${file}: ${font.problem}`);
  return font;
}

/** Files of a list that are packed, by their names; for one that cannot be unpacked, why. */
function unpackedBeside(bytes: FileBytes | undefined, name: string): FileBytes | undefined {
  if (!bytes || "unreadable" in bytes || !name.endsWith(".gz")) return bytes;
  try {
    return unpacked(bytes, name);
  } catch (error) {
    if (!(error instanceof BadInput)) throw error;
    return { unreadable: error.message.replace(`${name}: `, "") };
  }
}

async function readList(path: string, size: { readonly width: number; readonly height: number }): Promise<ReadLayers> {
  const text = await readText(path);
  const files = await filesBeside(path, filesNamedIn(text));
  const beside = (name: string) => unpackedBeside(files(name), name);
  const { layers, font, problems } = readLoadingList(text, path, size, beside);
  if (layers) return { layers, ...(font && { font }) };
  throw new BadInput(problems.map((problem) => ({ text: formatProblem(problem), details: { ...problem } })));
}
