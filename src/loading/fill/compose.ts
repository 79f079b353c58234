import type { Chip } from "../../circuit/index.js";
import { drawTestCard } from "../../raster/index.js";
import { shapeOf } from "../../simulation/index.js";
import { type Font, ownFont } from "../font/index.js";
import { setText } from "../font/set-text.js";
import { bitCount, bitsOf, fillBits, type Contents } from "../mapping/bit-numbers.js";
import type { MappedScreen } from "../mapping/screen.js";
import { neededWords, shownMemories } from "../mapping/screen-map.js";
import { ditherPicture } from "../picture/dither.js";
import { fitPicture } from "../picture/fit.js";
import { type CellGrid, cellsOf } from "./cells.js";
import { writeCells } from "./cell-text.js";
import { makeCharacterRom } from "./character-rom.js";
import { drawWithCells } from "./cell-picture.js";
import type { Layer, Place } from "./layer.js";
import { type DotValues, valuesOf } from "./palette.js";
import { type WrittenDots, writeDots } from "./write-dots.js";

/** What the memories are to hold so that the circuit shows what is wanted. */
export interface Filled {
  /** Of all memories that the picture shows, RAMs and ROMs. */
  readonly contents: Contents;
  /** Of these, 1 at every word that a dot or a layer of bytes needs. */
  readonly needed: Contents;
  /** Dots of the layers that the circuit cannot show as they are wanted. */
  readonly unlike: number;
  /** Values of dots as they are wanted, -1 where nothing was said. */
  readonly wanted: Int32Array;
  /** Letters that were wanted and that neither font nor character generator has. */
  readonly missing: readonly string[];
  readonly values: DotValues;
  readonly grid?: CellGrid;
}

export interface FillOptions {
  /** What the memories held before; what no layer says stays so. All bits low when absent. */
  readonly before?: Contents;
  /** Contents of the character generator; made of `romFont` when absent. */
  readonly roms?: Contents;
  /** The font of the character generator; the project's own when absent. */
  readonly romFont?: Font;
}

/** Puts layers on the screen, one over the other, and finds what the memories must hold for it. */
export async function fillScreen(
  screen: MappedScreen,
  layers: readonly Layer[],
  options: FillOptions = {},
): Promise<Filled> {
  const { map } = screen;
  const grid = cellsOf(map);
  const romFont = options.romFont ?? ownFont();
  const roms = options.roms ?? (grid ? makeCharacterRom(map, grid, romFont) : new Map<Chip, Uint8Array>());
  const before = new Map([...(options.before ?? []), ...roms]);
  const ram = options.before ? bitsOf(map.rams, options.before) : new Uint8Array(bitCount(map.rams));
  const values = valuesOf(map);
  const wanted = new Int32Array(map.width * map.height).fill(-1);
  const missing = new Set<string>();
  let unlike = 0;
  const count = ({ unlike: more }: WrittenDots) => (unlike += more);
  for (const layer of layers) {
    if (layer.kind === "bytes") {
      writeBytes(map.rams[0], layer, ram);
      continue;
    }
    if (layer.kind === "text" && grid) {
      for (const letter of writeCells(grid, layer, romFont, ram)) missing.add(letter);
      continue;
    }
    const drawn = layer.kind === "text" ? drawText(layer, map, values, missing) : await draw(layer, screen, values);
    drawn.forEach((value, dot) => (value < 0 ? undefined : (wanted[dot] = value)));
    count(grid ? drawWithCells(map, grid, drawn, before, ram) : writeDots(map, drawn, ram));
  }
  const shown = new Set(shownMemories(map));
  const filled = fillBits(map.rams, (number) => ram[number] ?? 0);
  const contents = new Map([...filled, ...roms].filter(([chip]) => shown.has(chip)));
  const needed = neededWords(map);
  for (const layer of layers) {
    if (layer.kind === "bytes") needed.get(map.rams[0]?.chip as Chip)?.fill(1, layer.at, layer.at + layer.bytes.length);
  }
  return { contents, needed, unlike, wanted, missing: [...missing], values, ...(grid && { grid }) };
}

function writeBytes(
  memory: { readonly first: number; readonly width: number; readonly words: number } | undefined,
  { at, bytes }: Extract<Layer, { kind: "bytes" }>,
  ram: Uint8Array,
): void {
  if (!memory) return;
  if (at + bytes.length > memory.words) {
    throw new RangeError(`${bytes.length} bytes from address ${at} on do not fit: the memory holds ${memory.words}`);
  }
  bytes.forEach((byte, index) => {
    for (let bit = 0; bit < memory.width; bit++)
      ram[memory.first + (at + index) * memory.width + bit] = (byte >> bit) & 1;
  });
}

async function draw(
  layer: Extract<Layer, { kind: "picture" | "test card" | "fill" }>,
  { map, raster }: MappedScreen,
  { values, colours }: DotValues,
): Promise<Int32Array> {
  const { width, height } = map;
  const shape = shapeOf(map, raster);
  if (layer.kind === "test card") {
    const [dark = 0, light = 1] = [values[0], values.at(-1)];
    return Int32Array.from(drawTestCard(width, height, shape).dots, (dot) => (dot === 0 ? dark : light));
  }
  const place = layer.place ?? { x: 0, y: 0, width, height };
  if (layer.kind === "fill") return filledPlace(values[layer.colour] ?? values.at(-1) ?? 0, place, map);
  const { image, fit, filter, crop, tone } = layer;
  const size = { width: place.width, height: place.height };
  const fitted = await fitPicture(image, { ...size, fit, filter, dotShape: shape, ...(crop && { crop }) });
  const numbers = ditherPicture(fitted, colours, tone);
  return onScreen(
    numbers.map((number) => (number < 0 ? -1 : (values[number] ?? 0))),
    place,
    map,
  );
}

/** A place all of one value, as values of the whole screen. */
function filledPlace(value: number, place: Place, { width, height }: { width: number; height: number }): Int32Array {
  const whole = new Int32Array(width * height).fill(-1);
  const [left, right] = [Math.max(0, place.x), Math.min(width, place.x + place.width)];
  for (let y = Math.max(0, place.y); y < Math.min(height, place.y + place.height); y++) {
    if (left < right) whole.fill(value, y * width + left, y * width + right);
  }
  return whole;
}

/** Values of a place, as values of the whole screen. */
function onScreen(part: Int32Array, place: Place, { width, height }: { width: number; height: number }): Int32Array {
  const whole = new Int32Array(width * height).fill(-1);
  for (let y = Math.max(0, -place.y); y < Math.min(place.height, height - place.y); y++) {
    for (let x = Math.max(0, -place.x); x < Math.min(place.width, width - place.x); x++) {
      whole[(place.y + y) * width + place.x + x] = part[y * place.width + x] as number;
    }
  }
  return whole;
}

function drawText(
  layer: Extract<Layer, { kind: "text" }>,
  { width, height }: { readonly width: number; readonly height: number },
  { values }: DotValues,
  missing: Set<string>,
): Int32Array {
  const { text, font, align, scale, leading, inverse } = layer;
  const { x = 0, y = 0, width: room = width - x } = layer.place ?? {};
  const set = setText(text, font, { x, y, width: room, align, scale, leading, within: { width, height } });
  for (const letter of set.missing) missing.add(letter);
  const light = (layer.colour === undefined ? undefined : values[layer.colour]) ?? values.at(-1) ?? 0;
  const dark = values[0] ?? 0;
  const drawn = new Int32Array(width * height).fill(-1);
  const { height: down = set.height } = layer.place ?? {};
  // Behind the letters their whole place is of the other colour only where it is turned over.
  if (inverse) drawn.set(filledPlace(light, { x, y, width: room, height: down }, { width, height }));
  for (let at = 0; at < set.dots.length; at += 2) {
    const [across, row] = [set.dots[at] as number, set.dots[at + 1] as number];
    if (across < 0 || across >= width || row < 0 || row >= height) continue;
    drawn[row * width + across] = inverse ? dark : light;
  }
  return drawn;
}
