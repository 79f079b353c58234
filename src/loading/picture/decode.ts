import { decode as decodePng } from "fast-png";
import jpeg from "jpeg-js";
import type { Refused } from "../format/memory-image.js";
import { type ColourImage, MOST_DOTS, problemOfSize } from "./colour-image.js";
import { readNetpbm } from "./netpbm.js";
import { soundPng } from "./png-chunks.js";

const PNG = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
const JPEG = [0xff, 0xd8, 0xff];

/** Reads a PNG, JPEG or netpbm picture, told by its first bytes. Never throws. */
export function decodePicture(bytes: Uint8Array): ColourImage | Refused {
  const begins = (signature: readonly number[]) => signature.every((byte, at) => bytes[at] === byte);
  try {
    if (begins(PNG)) return readPng(bytes);
    if (begins(JPEG)) return readJpeg(bytes);
  } catch (error) {
    const [why] = (error instanceof Error ? error.message : String(error)).split("\n");
    return { problem: `is a damaged picture: ${why?.slice(0, 120) ?? ""}` };
  }
  const isNetpbm = bytes[0] === 0x50 && bytes[1] !== undefined && bytes[1] >= 0x31 && bytes[1] <= 0x37;
  return isNetpbm
    ? readNetpbm(bytes)
    : { problem: "is no picture that is read here: PNG, JPEG, PBM, PGM, PPM and PAM are" };
}

function readPng(bytes: Uint8Array): ColourImage | Refused {
  // The size is the first thing of the first chunk: no room is made for a picture that is too large.
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 33) return { problem: "is a picture that is cut short" };
  const problem = problemOfSize(view.getUint32(16), view.getUint32(20));
  if (problem !== undefined) return { problem };
  const sound = soundPng(bytes);
  if ("problem" in sound) return sound;
  const { width, height, data: levels, depth, channels, palette, transparency } = decodePng(sound, { checkCrc: true });
  const stride = depth < 8 ? Math.ceil((width * channels * depth) / 8) : width * channels;
  if (levels.length < stride * height) return { problem: "is a picture that is cut short" };
  const most = 2 ** depth - 1;
  const sample = (x: number, y: number, part: number): number => {
    if (depth >= 8) return levels[y * stride + x * channels + part] ?? 0;
    const bit = x * depth;
    return ((levels[y * stride + (bit >> 3)] ?? 0) >> (8 - depth - (bit & 7))) & most;
  };
  const data = new Uint8Array(width * height * 4);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = 4 * (y * width + x);
      if (palette) {
        const colour = palette[sample(x, y, 0)];
        if (!colour) return { problem: "is a damaged picture: a dot's colour is not in its palette" };
        for (let part = 0; part < 4; part++) data[at + part] = colour[part] ?? 255;
        continue;
      }
      let isClear = transparency !== undefined && transparency.length > 0;
      for (let part = 0; part < 3; part++) {
        const level = sample(x, y, channels < 3 ? 0 : part);
        data[at + part] = Math.round((level * 255) / most);
        if (isClear && transparency?.[channels < 3 ? 0 : part] !== level) isClear = false;
      }
      const opacity = channels % 2 === 0 ? Math.round((sample(x, y, channels - 1) * 255) / most) : 255;
      data[at + 3] = isClear ? 0 : opacity;
    }
  }
  return { width, height, data };
}

function readJpeg(bytes: Uint8Array): ColourImage | Refused {
  const { width, height, data } = jpeg.decode(bytes, {
    useTArray: true,
    formatAsRGBA: true,
    tolerantDecoding: false,
    maxResolutionInMP: MOST_DOTS / 1e6,
    maxMemoryUsageInMB: 1024,
  });
  const problem = problemOfSize(width, height);
  return problem === undefined ? { width, height, data } : { problem };
}
