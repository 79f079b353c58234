import type { Refused } from "../format/memory-image.js";
import type { Font, Glyph } from "./font.js";

/**
 * Reads a font in the X Window System's Portable Compiled Format, unpacked, as X.Org's libXfont writes it (its bdftopcf; the layout
 * is that of the source's pcf.h and pcfread.c). Never throws. Codes of one byte in an ISO 8859 or KOI8 character set become
 * those of Unicode; of other sets they stay the font's own.
 */
export function readPcf(bytes: Uint8Array): Font | Refused {
  try {
    return new PcfReader(bytes).read();
  } catch (error) {
    // A DataView says so where something lies behind the end.
    if (error instanceof RangeError) return { problem: "is cut short, or its tables point beyond its end" };
    throw error;
  }
}

export function isPcf(bytes: Uint8Array): boolean {
  return bytes[0] === 0x01 && bytes[1] === 0x66 && bytes[2] === 0x63 && bytes[3] === 0x70;
}

/** Types of tables. */
const [PROPERTIES, ACCELERATORS, METRICS, BITMAPS, ENCODINGS, BDF_ACCELERATORS] = [1, 2, 4, 8, 32, 256];
/** Bits of a table's format. */
const [PAD, MOST_BYTE_FIRST, MOST_BIT_FIRST, SCAN_UNIT, COMPRESSED] = [0x3, 0x4, 0x8, 0x30, 0x100];
const LARGEST_SIDE = 512;
const MOST_GLYPHS = 0x10000;
/** Of all glyphs together: twice what GNU Unifont has, the largest font that is known. Glyphs may share their bytes. */
const MOST_DOTS = 0x2000000;
const MOST_TABLES = 64;
const NO_GLYPH = 0xffff;

interface Metrics {
  readonly left: number;
  readonly right: number;
  readonly advance: number;
  readonly ascent: number;
  readonly descent: number;
}

class PcfReader {
  readonly #bytes: Uint8Array;
  readonly #view: DataView;
  #at = 0;
  #isLittle = true;
  #format = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  }

  read(): Font | Refused {
    const tables = this.#tables();
    if (!tables) return { problem: `its header makes no sense: more than ${MOST_TABLES} tables` };
    const metrics = this.#metrics(tables.get(METRICS));
    if ("problem" in metrics) return metrics;
    const bitmaps = this.#bitmaps(tables.get(BITMAPS), metrics);
    if ("problem" in bitmaps) return bitmaps;
    const { name, letterOf } = this.#names(tables.get(PROPERTIES));
    const glyphs = this.#encoded(tables.get(ENCODINGS), bitmaps, letterOf);
    if (glyphs.size === 0) return { problem: "the font has no glyphs" };
    const all = [...glyphs.values()];
    const most = (of: (glyph: Glyph) => number) => all.reduce((greatest, glyph) => Math.max(greatest, of(glyph)), 0);
    const line = this.#line(tables.get(BDF_ACCELERATORS) ?? tables.get(ACCELERATORS));
    return {
      name,
      ascent: line?.ascent ?? most(({ bottom, height }) => bottom + height),
      descent: line?.descent ?? most(({ bottom }) => -bottom),
      width: most(({ advance }) => advance),
      glyphs,
    };
  }

  /** Where each table begins, by its type. */
  #tables(): ReadonlyMap<number, number> | undefined {
    this.#at = 4;
    this.#isLittle = true;
    const count = this.#word();
    if (count > MOST_TABLES) return undefined;
    const tables = new Map<number, number>();
    for (let table = 0; table < count; table++) {
      const type = this.#word();
      // Its format stands once more at its begin, and its size is not needed.
      this.#at += 8;
      tables.set(type, this.#word());
    }
    return tables;
  }

  /** Goes to a table; its format says in which order its own bytes are. */
  #goTo(place: number | undefined): boolean {
    if (place === undefined) return false;
    this.#at = place;
    this.#isLittle = true;
    this.#format = this.#word();
    this.#isLittle = (this.#format & MOST_BYTE_FIRST) === 0;
    return true;
  }

  #metrics(place: number | undefined): readonly Metrics[] | Refused {
    if (!this.#goTo(place)) return { problem: "the font has no table of metrics" };
    const isCompressed = (this.#format & COMPRESSED) !== 0;
    const count = isCompressed ? this.#half() : this.#word();
    if (count > MOST_GLYPHS) return { problem: `its table of metrics makes no sense: ${count} glyphs` };
    const next = isCompressed ? () => this.#byte() - 0x80 : () => this.#signedHalf();
    const all: Metrics[] = [];
    let dots = 0;
    for (let glyph = 0; glyph < count; glyph++) {
      const [left, right, advance, ascent, descent] = [next(), next(), next(), next(), next()];
      if (!isCompressed) this.#at += 2; // attributes
      const [width, height] = [right - left, ascent + descent];
      if ([width, height].some((side) => side < 0 || side > LARGEST_SIDE)) {
        return { problem: `its table of metrics makes no sense: glyph ${glyph} is of ${width} x ${height} dots` };
      }
      dots += width * height;
      if (dots > MOST_DOTS)
        return { problem: `its glyphs have more than ${MOST_DOTS / 2 ** 20} million dots together` };
      all.push({ left, right, advance, ascent, descent });
    }
    return all;
  }

  #bitmaps(place: number | undefined, metrics: readonly Metrics[]): readonly Glyph[] | Refused {
    if (!this.#goTo(place)) return { problem: "the font has no table of bitmaps" };
    const format = this.#format;
    const count = this.#word();
    if (count !== metrics.length) return { problem: `it has ${metrics.length} metrics and ${count} bitmaps` };
    const offsets = metrics.map(() => this.#word());
    // The sizes that the bitmaps would have with each padding.
    const start = this.#at + 16;
    return metrics.map(({ left, right, advance, ascent, descent }, glyph) => {
      const [width, height] = [right - left, ascent + descent];
      const dots = this.#dots(start + (offsets[glyph] ?? 0), width, height, format);
      return { width, height, left, bottom: -descent, advance: Math.max(0, advance), dots };
    });
  }

  /** Rows, each padded to 1, 2, 4 or 8 bytes; bits and bytes in either order within units of 1, 2, 4 or 8 bytes. */
  #dots(from: number, width: number, height: number, format: number): Uint8Array {
    const pad = 1 << (format & PAD);
    const unit = 1 << ((format & SCAN_UNIT) >> 4);
    const isMostBitFirst = (format & MOST_BIT_FIRST) !== 0;
    const isSwapped = isMostBitFirst !== ((format & MOST_BYTE_FIRST) !== 0);
    const stride = Math.ceil(width / 8 / pad) * pad;
    const dots = new Uint8Array(width * height);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const place = y * stride + (x >> 3);
        const byte = this.#view.getUint8(from + (isSwapped ? place ^ (unit - 1) : place));
        dots[y * width + x] = (byte >> (isMostBitFirst ? 7 - (x & 7) : x & 7)) & 1;
      }
    }
    return dots;
  }

  #encoded(
    place: number | undefined,
    bitmaps: readonly Glyph[],
    letterOf: (code: number) => number | undefined,
  ): ReadonlyMap<number, Glyph> {
    const glyphs = new Map<number, Glyph>();
    if (!this.#goTo(place)) return glyphs;
    const [low, high, first, last] = [this.#half(), this.#half(), this.#half(), this.#half()];
    this.#at += 2; // the glyph for what is missing
    for (let row = first; row <= Math.min(last, 0xff); row++) {
      for (let column = low; column <= Math.min(high, 0xff); column++) {
        const index = this.#half();
        const glyph = index === NO_GLYPH ? undefined : bitmaps[index];
        if (!glyph) continue;
        const letter = letterOf(row * 256 + column);
        if (letter !== undefined && !glyphs.has(letter)) glyphs.set(letter, glyph);
      }
    }
    return glyphs;
  }

  /** The font's name, and what its codes are in Unicode. */
  #names(place: number | undefined): {
    readonly name: string;
    readonly letterOf: (code: number) => number | undefined;
  } {
    const properties = this.#properties(place);
    const [registry, encoding] = ["CHARSET_REGISTRY", "CHARSET_ENCODING"].map((key) => properties.get(key) ?? "");
    const name = properties.get("FONT") ?? properties.get("FAMILY_NAME") ?? "";
    const set = `${registry}-${encoding}`.toLowerCase().replace("iso8859", "iso-8859");
    if (!/^iso-8859-([2-9]|1\d)$|^koi8-[ru]$/.test(set)) return { name, letterOf: (code) => code };
    const decoder = decoderFor(set);
    return {
      name,
      letterOf: (code) => (code < 0x80 ? code : decoder?.decode(Uint8Array.of(code)).codePointAt(0)),
    };
  }

  /** Those properties that are texts. */
  #properties(place: number | undefined): ReadonlyMap<string, string> {
    const texts = new Map<string, string>();
    if (!this.#goTo(place)) return texts;
    const count = Math.min(this.#word(), 1024);
    const entries = Array.from({ length: count }, () => [this.#word(), this.#byte(), this.#word()] as const);
    this.#at += ((4 - (count & 3)) & 3) + 4; // padding, and the size of the texts
    const start = this.#at;
    const textAt = (offset: number) => {
      const end = this.#bytes.indexOf(0, start + offset);
      return new TextDecoder("latin1").decode(
        this.#bytes.subarray(start + offset, Math.min(end, start + offset + 256)),
      );
    };
    for (const [key, isText, value] of entries) if (isText !== 0) texts.set(textAt(key), textAt(value));
    return texts;
  }

  /** Dots of a line above and below its base line. */
  #line(place: number | undefined): { readonly ascent: number; readonly descent: number } | undefined {
    if (!this.#goTo(place)) return undefined;
    this.#at += 8; // what is alike in all glyphs, and the direction
    const [ascent, descent] = [this.#word() | 0, this.#word() | 0];
    const isSound = ascent + descent > 0 && [ascent, descent].every((side) => Math.abs(side) <= LARGEST_SIDE);
    return isSound ? { ascent, descent } : undefined;
  }

  #byte(): number {
    return this.#view.getUint8(this.#at++);
  }

  #half(): number {
    this.#at += 2;
    return this.#view.getUint16(this.#at - 2, this.#isLittle);
  }

  #signedHalf(): number {
    this.#at += 2;
    return this.#view.getInt16(this.#at - 2, this.#isLittle);
  }

  #word(): number {
    this.#at += 4;
    return this.#view.getUint32(this.#at - 4, this.#isLittle);
  }
}

/** Undefined where the platform does not know the set, as Node does not know ISO 8859-16: what is beyond ASCII is left out then. */
function decoderFor(set: string): InstanceType<typeof TextDecoder> | undefined {
  try {
    return new TextDecoder(set);
  } catch {
    return undefined;
  }
}
