import { type MemoryImage, type Refused, type Stretch, hex, stretchesOf } from "./memory-image.js";

/** An array of bytes in C: `static const unsigned char NAME[N] = { 0x00, ... };`, one for each stretch. */

const BYTES_A_LINE = 12;
/** Letters of a comment and a declaration before the brackets of an array. */
const LONGEST_HEAD = 200;

export function writeCArray(image: MemoryImage, name: string): string {
  const stretches = stretchesOf(image);
  const identifier = cName(name);
  const arrays = stretches.map(({ address, bytes }, index) => {
    const own = stretches.length === 1 ? identifier : `${identifier}_${index + 1}`;
    return [
      `/* ${bytes.length} bytes from address ${hex(address)} on. */`,
      `const unsigned char ${own}[${bytes.length}] = {`,
      ...linesOf(bytes),
      "};",
    ].join("\n");
  });
  return `${arrays.join("\n\n")}\n`;
}

/** Bytes as they stand between the braces. */
export function linesOf(bytes: Uint8Array): readonly string[] {
  return Array.from({ length: Math.ceil(bytes.length / BYTES_A_LINE) }, (_, line) => {
    const part = bytes.subarray(line * BYTES_A_LINE, (line + 1) * BYTES_A_LINE);
    return `    ${Array.from(part, (byte) => hex(byte, 2)).join(", ")},`;
  });
}

/** A name that C takes. */
export function cName(text: string): string {
  const name = text
    .replace(/[^A-Za-z0-9_]+/g, "_")
    .replace(/^_+|_+$/g, "")
    .slice(0, 31);
  return /^[A-Za-z]/.test(name) ? name : `image_${name}`.replace(/_$/, "");
}

/** Reads the arrays of bytes of a C file, with the addresses that our own comments give; from address 0 on without one. */
export function readCArrays(text: string): readonly Stretch[] | Refused {
  const stretches: Stretch[] = [];
  // Every repeat is bounded, so that no text takes long.
  const array = /\[\s{0,9}\w{0,20}\s{0,9}\]\s{0,9}=\s{0,9}\{([^{}]*)\}/g;
  for (const match of text.matchAll(array)) {
    const [, inside = ""] = match;
    const before = text.slice(Math.max(0, match.index - LONGEST_HEAD), match.index);
    const [, at] = /from address (0x[0-9a-f]{1,8}) on\. \*\/\s*[^*;{}]*$/i.exec(before) ?? [];
    const numbers = inside
      .replace(/\/\*[\s\S]*?\*\/|\/\/[^\n]*/g, "")
      .split(",")
      .map((number) => number.trim())
      .filter((number) => number !== "");
    const bytes = numbers.map(Number);
    const wrong = bytes.findIndex((byte) => !(Number.isInteger(byte) && byte >= 0 && byte <= 255));
    if (wrong >= 0)
      return { problem: `"${(numbers[wrong] ?? "").slice(0, 20)}" is no byte: numbers 0 to 255 were expected` };
    stretches.push({ address: at === undefined ? 0 : Number(at), bytes: Uint8Array.from(bytes) });
  }
  return stretches.length > 0 ? stretches : { problem: "has no array of bytes" };
}
