import { isPacked, largestFont } from "../../loading/index.js";

/** A font file's bytes, unpacked where they are packed with gzip; why they cannot be, in words that go behind "The font". */
export async function unpacked(file: Blob): Promise<Uint8Array | { readonly problem: string }> {
  const bytes = new Uint8Array(await file.arrayBuffer());
  if (!isPacked(bytes)) return bytes;
  const reader = file.stream().pipeThrough(new DecompressionStream("gzip")).getReader();
  const parts: Uint8Array<ArrayBuffer>[] = [];
  let size = 0;
  try {
    for (let part = await reader.read(); !part.done; part = await reader.read()) {
      size += part.value.length;
      if (size > largestFont) {
        await reader.cancel();
        return { problem: `unpacks to more than ${largestFont / 2 ** 20} MB: that is no font` };
      }
      parts.push(part.value);
    }
  } catch {
    return { problem: "is packed, and damaged" };
  }
  return new Uint8Array(await new Blob(parts).arrayBuffer());
}
