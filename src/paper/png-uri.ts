/** A PNG file as a `data:` URI, so that a page carries its picture with it. */
export function pngUri(png: Uint8Array): string {
  const chunks: string[] = [];
  for (let i = 0; i < png.length; i += 0x8000) chunks.push(String.fromCharCode(...png.subarray(i, i + 0x8000)));
  return `data:image/png;base64,${btoa(chunks.join(""))}`;
}
