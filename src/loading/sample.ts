import type { Chip, Circuit } from "../circuit/index.js";
import { type Filled, fillScreen } from "./fill/compose.js";
import type { Layer } from "./fill/layer.js";
import { ownFont } from "./font/index.js";
import type { MemoryImage } from "./format/index.js";
import { memoriesOf, wordsOf } from "./mapping/bit-numbers.js";
import type { NoMap } from "./mapping/screen-map.js";
import { type MappedScreen, mapScreen } from "./mapping/screen.js";
import { writeC } from "./transfer/c-source.js";
import { type Landing, isForBlanking, landingOf } from "./transfer/landing.js";
import { type NoPath, learnWritePath } from "./transfer/learn.js";
import { type Numbering, numberingOf, renumbered } from "./transfer/numbering.js";
import { bestOrder } from "./transfer/order.js";
import { driverOf } from "./transfer/pins.js";
import { type TransferRate, rateOf } from "./transfer/rate.js";
import type { WritePath } from "./transfer/write-path.js";

/** A first picture for a board: what its memory holds then, and how that gets there. */
export interface Sample {
  readonly screen: MappedScreen;
  readonly filled: Filled;
  /** `a test card`. */
  readonly shows: string;
  readonly ram: Chip;
  /** What is sent, as whoever writes counts addresses and bits. */
  readonly image: MemoryImage;
  readonly numbering?: Numbering;
  readonly sending: Sending | NoPath;
}

/** How a sample is sent from the processor's side. */
export interface Sending {
  readonly path: WritePath;
  readonly rate: TransferRate;
  /** Whether the bytes go from the lowest address to the highest. */
  readonly isByAddress: boolean;
  /** What came of sending bytes at moments of a frame, without delays. */
  readonly landing?: Landing;
  /** The whole transfer as C; absent where a chip of the circuit drives the pins that the C would. */
  readonly c?: string;
}

/**
 * Finds what the memory must hold for a picture that tells at a glance whether all is right: a test card, or a page of all letters
 * where the screen shows characters. Throws RangeError or TooMuchOpen where the circuit cannot be run without delays.
 */
export async function sampleOf(
  circuit: Circuit,
  onProgress?: (done: number, total: number) => void,
): Promise<Sample | NoMap> {
  const [ram] = memoriesOf(circuit).rams;
  if (!ram) return { problem: "The circuit has no memory that can be written." };
  const screen = mapScreen(circuit, onProgress);
  if ("problem" in screen) return screen;
  const isText = screen.map.nets.some(({ lines }) => lines.length > 0);
  const filled = await fillScreen(screen, [isText ? letters(circuit.title) : { kind: "test card" }]);
  const given = filled.needed.get(ram);
  const inside: MemoryImage = {
    bytes: filled.contents.get(ram) ?? new Uint8Array(wordsOf(ram)),
    ...(given?.includes(0) && { given }),
  };
  const path = learnWritePath(screen.machine, screen.raster, ram);
  const numbering = "problem" in path ? undefined : numberingOf(circuit, path);
  return {
    screen,
    filled,
    shows: isText ? "a page of all letters" : "a test card",
    ram,
    image: numbering ? renumbered(inside, numbering) : inside,
    ...(numbering && { numbering }),
    sending: "problem" in path ? path : sendingOf(screen, path, inside),
  };
}

function sendingOf({ circuit, machine, raster }: MappedScreen, path: WritePath, image: MemoryImage): Sending {
  const bytes = Array.from(image.bytes, (byte, address) => ({ address, byte })).filter(
    ({ address }) => (image.given?.[address] ?? 1) === 1,
  );
  const order = bestOrder(path, bytes);
  const rate = rateOf(circuit, raster, [{ path, bytes: order }]);
  const landing = landingOf(circuit, machine, raster, path);
  const waits = landing !== undefined && isForBlanking(landing);
  const isDriven = path.stages.some(({ strobe }) => driverOf(circuit, strobe.net) !== undefined);
  const canBeSent = order.length > 0 && !isDriven && !(waits && rate.perBlanking === 0);
  return {
    path,
    rate,
    isByAddress: order.every(({ address }, index) => index === 0 || address > (order[index - 1]?.address ?? -1)),
    ...(landing && { landing }),
    ...(canBeSent && {
      c: writeC(circuit, path, order, { title: "a first picture", ...(waits && { perBlanking: rate.perBlanking }) }),
    }),
  };
}

/** The title, and under it every letter of ASCII, in lines of 16. */
function letters(title: string): Layer {
  const rows = Array.from({ length: 6 }, (_, row) =>
    String.fromCharCode(...Array.from({ length: 16 }, (_none, column) => 0x20 + row * 16 + column).filter(isLetter)),
  );
  const text = [title, ...rows.map((row) => row.trim())].join("\n");
  return { kind: "text", text, font: ownFont(), align: "left", scale: 1, leading: 0, inverse: false };
}

function isLetter(code: number): boolean {
  return code > 0x20 && code < 0x7f;
}
