import { join } from "node:path";
import { decode } from "fast-png";
import { type Corners, type Fault, type Look, type Photograph, matchLooks, straighten } from "../bench/index.js";
import { lookPicture } from "../paper/index.js";
import { encodePng } from "../raster/index.js";
import { BadInput } from "./bad-input.js";
import type { Answer } from "./command.js";
import { readBytes, writeWhole } from "./files.js";

/** Looks that are listed for a photograph, and lines of faults for each. */
const NEAREST = 5;
const FAULTS_LISTED = 3;
/** Dots of a cell in the gallery's pictures. */
const ZOOM = 4;

/** Writes a picture of each look into a folder, and lists all looks. */
export async function showGallery(looks: readonly Look[], faults: readonly Fault[], folder: string): Promise<Answer> {
  if (looks.length === 0) throw new BadInput("--gallery: the circuit has no picture");
  for (const look of looks) {
    if (look.screen.locked)
      await writeWhole(join(folder, nameOf(look)), encodePng(lookPicture(look.screen.cells, ZOOM)));
  }
  return {
    exitCode: 0,
    text: [
      `${looks.length} looks of the screen; their pictures are in ${folder}.`,
      ...looks.map((look) => lookText(look, faults)),
    ].join("\n"),
    json: looks.map((look) => lookData(look, faults)),
  };
}

/** Lists the looks that explain a photograph best. */
export async function matchPhotograph(
  looks: readonly Look[],
  faults: readonly Fault[],
  file: string,
  corners: string | undefined,
): Promise<Answer> {
  const photograph = await readPhotograph(file);
  const at = corners === undefined ? wholeOf(photograph) : readCorners(corners);
  let cells: Float64Array;
  try {
    cells = straighten(photograph, at);
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput(`--corners ${corners ?? ""}: ${error.message}`);
    throw error;
  }
  const nearest = matchLooks(cells, looks).slice(0, NEAREST);
  return {
    exitCode: 0,
    text: [
      "Looks nearest to the photograph, the nearest first:",
      ...nearest.map(({ look }) => lookText(look, faults)),
    ].join("\n"),
    json: nearest.map(({ look, misfit }) => ({ misfit, ...lookData(look, faults) })),
  };
}

function nameOf({ number }: Look): string {
  return `look-${String(number).padStart(3, "0")}.png`;
}

function lookText(look: Look, faults: readonly Fault[]): string {
  const own = look.faults.flatMap((fault) => faults[fault] ?? []);
  const more = own.length - FAULTS_LISTED;
  return [
    `${String(look.number).padStart(4)}  ${look.text}${look.detail === undefined ? "" : ` ${look.detail}.`} ${own.length} ${own.length === 1 ? "fault" : "faults"}${look.screen.locked ? `, ${nameOf(look)}` : ""}:`,
    ...own.slice(0, FAULTS_LISTED).map(({ text }) => `      ${text}`),
    ...(more > 0 ? [`      and ${more} more`] : []),
  ].join("\n");
}

function lookData(look: Look, faults: readonly Fault[]) {
  return {
    look: look.number,
    text: look.text,
    ...(look.detail !== undefined && { detail: look.detail }),
    ...(look.screen.locked && { picture: nameOf(look), lineHz: look.screen.lineHz, frameHz: look.screen.frameHz }),
    faults: look.faults.flatMap((fault) => faults[fault]?.text ?? []),
  };
}

async function readPhotograph(file: string): Promise<Photograph> {
  const bytes = await readBytes(file);
  try {
    const { width, height, data, channels, depth } = decode(bytes);
    const rgb = new Uint8Array(width * height * 3);
    for (let dot = 0; dot < width * height; dot++) {
      for (let colour = 0; colour < 3; colour++) {
        const value = data[dot * channels + (channels < 3 ? 0 : colour)] ?? 0;
        rgb[dot * 3 + colour] = depth === 16 ? value >> 8 : value;
      }
    }
    return { width, height, rgb };
  } catch {
    throw new BadInput(`${file}: is no PNG that can be read; turn a photograph of another kind into one`);
  }
}

function wholeOf({ width, height }: Photograph): Corners {
  return [
    [0, 0],
    [width - 1, 0],
    [width - 1, height - 1],
    [0, height - 1],
  ];
}

function readCorners(text: string): Corners {
  const places = text
    .trim()
    .split(/\s+/)
    .map((pair) => pair.split(",").map(Number));
  const [a, b, c, d] = places.map(([x = NaN, y = NaN]) => [x, y] as const);
  if (
    places.length !== 4 ||
    !a ||
    !b ||
    !c ||
    !d ||
    places.some((pair) => pair.length !== 2 || !pair.every(Number.isFinite))
  ) {
    throw new BadInput(`--corners ${text}: four places were expected, such as '12,8 630,15 622,470 9,455'`);
  }
  return [a, b, c, d];
}
