import type { Refused } from "../format/memory-image.js";
import { type ColourImage, problemOfSize } from "./colour-image.js";

/**
 * Reads the first picture of a netpbm file: PBM, PGM and PPM, plain (P1 to P3) and raw (P4 to P6), and PAM (P7), as their
 * manual pages have them. Never throws.
 */
export function readNetpbm(bytes: Uint8Array): ColourImage | Refused {
  const reader = new NetpbmReader(bytes);
  const kind = bytes[0] === 0x50 ? (bytes[1] ?? 0) - 0x30 : 0;
  if (!(kind >= 1 && kind <= 7)) return { problem: "is no netpbm picture: P1 to P7 were expected" };
  const header = kind === 7 ? reader.pamHeader() : reader.header(kind);
  if ("problem" in header) return header;
  const { width, height, depth, most } = header;
  const problem = problemOfSize(width, height);
  if (problem !== undefined) return { problem };
  if (!(most >= 1 && most <= 0xffff)) return { problem: `its greatest level is ${most}; 1 to 65535 were expected` };
  if (!(depth >= 1 && depth <= 4)) return { problem: `has ${depth} levels a dot; 1 to 4 were expected` };
  const samples = reader.samples(kind, header);
  return "problem" in samples ? samples : { width, height, data: toRgba(samples.levels, header) };
}

interface Header {
  readonly width: number;
  readonly height: number;
  /** Levels of a dot. */
  readonly depth: number;
  readonly most: number;
}

class NetpbmReader {
  readonly #bytes: Uint8Array;
  #at = 2;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  header(kind: number): Header | Refused {
    const [width, height] = [this.#number(), this.#number()];
    const isBitmap = kind === 1 || kind === 4;
    const most = isBitmap ? 1 : this.#number();
    if (width === undefined || height === undefined || most === undefined) return cutShort("its header");
    // Exactly one white space stands before raw levels.
    this.#at++;
    return { width, height, depth: kind === 3 || kind === 6 ? 3 : 1, most };
  }

  pamHeader(): Header | Refused {
    const fields = new Map<string, number>();
    const text = new TextDecoder("latin1").decode(this.#bytes.subarray(0, 4096));
    const end = text.indexOf("\nENDHDR\n");
    if (end < 0) return cutShort("its header");
    for (const line of text.slice(0, end).split("\n")) {
      const [, name = "", value = ""] = /^(WIDTH|HEIGHT|DEPTH|MAXVAL)\s+(\d{1,9})\s*$/.exec(line) ?? [];
      if (name !== "") fields.set(name, Number(value));
    }
    this.#at = end + "\nENDHDR\n".length;
    const field = (name: string) => fields.get(name) ?? 0;
    return { width: field("WIDTH"), height: field("HEIGHT"), depth: field("DEPTH"), most: field("MAXVAL") };
  }

  samples(kind: number, { width, height, depth, most }: Header): { readonly levels: Uint16Array } | Refused {
    const count = width * height * depth;
    if (kind === 4) return this.#packed(width, height);
    if (kind >= 5) {
      const size = most < 256 ? 1 : 2;
      if (this.#bytes.length - this.#at < count * size) return cutShort("the picture");
      const levels = new Uint16Array(count);
      for (let index = 0; index < count; index++) {
        const at = this.#at + index * size;
        levels[index] = size === 1 ? (this.#bytes[at] ?? 0) : 256 * (this.#bytes[at] ?? 0) + (this.#bytes[at + 1] ?? 0);
      }
      return { levels };
    }
    // A plain level takes a letter at least: no room is made for what cannot be there.
    if (count > this.#bytes.length) return cutShort("the picture");
    this.#at--;
    const levels = new Uint16Array(count);
    for (let index = 0; index < count; index++) {
      const level = kind === 1 ? this.#bit() : this.#number();
      if (level === undefined) return cutShort("the picture");
      // Of a bitmap 1 is black.
      levels[index] = kind === 1 ? 1 - level : Math.min(level, most);
    }
    return { levels };
  }

  #packed(width: number, height: number): { readonly levels: Uint16Array } | Refused {
    const stride = Math.ceil(width / 8);
    if (this.#bytes.length - this.#at < stride * height) return cutShort("the picture");
    const levels = new Uint16Array(width * height);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const byte = this.#bytes[this.#at + y * stride + (x >> 3)] ?? 0;
        levels[y * width + x] = 1 - ((byte >> (7 - (x & 7))) & 1);
      }
    }
    return { levels };
  }

  #number(): number | undefined {
    this.#skipSpace();
    let value: number | undefined;
    for (; value === undefined || value < 1e9; this.#at++) {
      const digit = (this.#bytes[this.#at] ?? 0) - 0x30;
      if (!(digit >= 0 && digit <= 9)) break;
      value = 10 * (value ?? 0) + digit;
    }
    return value;
  }

  /** Bits of a plain bitmap need no space between them. */
  #bit(): number | undefined {
    this.#skipSpace();
    const digit = (this.#bytes[this.#at++] ?? 0) - 0x30;
    return digit === 0 || digit === 1 ? digit : undefined;
  }

  /** White space, and comments from # to the end of their line. */
  #skipSpace(): void {
    for (;;) {
      const byte = this.#bytes[this.#at];
      if (byte === 0x23) {
        while (this.#at < this.#bytes.length && this.#bytes[this.#at] !== 0x0a) this.#at++;
      } else if (byte === 0x20 || (byte !== undefined && byte >= 0x09 && byte <= 0x0d)) this.#at++;
      else return;
    }
  }
}

function cutShort(what: string): Refused {
  return { problem: `${what} is cut short or no netpbm` };
}

/** One or two levels are grey and its opacity, three or four a colour and its opacity. */
function toRgba(levels: Uint16Array, { width, height, depth, most }: Header): Uint8Array {
  const data = new Uint8Array(width * height * 4);
  const level = (dot: number, part: number) => Math.round(((levels[dot * depth + part] ?? 0) * 255) / most);
  for (let dot = 0; dot < width * height; dot++) {
    for (let part = 0; part < 3; part++) data[4 * dot + part] = level(dot, depth < 3 ? 0 : part);
    data[4 * dot + 3] = depth % 2 === 0 ? level(dot, depth - 1) : 255;
  }
  return data;
}
