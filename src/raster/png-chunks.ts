/** One chunk of a PNG file: four letters, and what it holds. */
export interface PngChunk {
  readonly type: string;
  readonly data: Uint8Array;
}

const SIGNATURE = Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a);
/** Bytes of a chunk besides its data: length, type, check sum. */
const FRAME = 12;

/** The chunks of a PNG file that is known to be whole, in their order. */
export function pngChunks(file: Uint8Array): PngChunk[] {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const chunks: PngChunk[] = [];
  for (let at = SIGNATURE.length; at < file.length;) {
    const length = view.getUint32(at);
    const type = String.fromCharCode(...file.subarray(at + 4, at + 8));
    chunks.push({ type, data: file.subarray(at + 8, at + 8 + length) });
    at += FRAME + length;
  }
  return chunks;
}

/** A PNG file of chunks, each with its length and check sum (W3C Portable Network Graphics, third edition, clause 5). */
export function pngFile(chunks: readonly PngChunk[]): Uint8Array {
  const size = chunks.reduce((sum, { data }) => sum + FRAME + data.length, SIGNATURE.length);
  const file = new Uint8Array(size);
  const view = new DataView(file.buffer);
  file.set(SIGNATURE);
  let at = SIGNATURE.length;
  for (const { type, data } of chunks) {
    view.setUint32(at, data.length);
    for (let letter = 0; letter < 4; letter++) file[at + 4 + letter] = type.charCodeAt(letter);
    file.set(data, at + 8);
    view.setUint32(at + 8 + data.length, checkSum(file.subarray(at + 4, at + 8 + data.length)));
    at += FRAME + data.length;
  }
  return file;
}

/** Remainders of every byte for the polynomial of ISO 3309, as PNG (annex D) has it. */
const REMAINDERS = Uint32Array.from({ length: 256 }, (_, byte) => {
  let rest = byte;
  for (let bit = 0; bit < 8; bit++) rest = rest & 1 ? (rest >>> 1) ^ 0xedb88320 : rest >>> 1;
  return rest;
});

function checkSum(bytes: Uint8Array): number {
  let rest = 0xffffffff;
  for (const byte of bytes) rest = (rest >>> 8) ^ (REMAINDERS[(rest ^ byte) & 0xff] ?? 0);
  return (rest ^ 0xffffffff) >>> 0;
}
