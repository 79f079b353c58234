import type { Draft } from "./draft.js";

const mark = "#circuit=";
/** A text longer than this is no circuit file. */
const mostCharacters = 4_000_000;

/** A link to this page that carries the circuit in its fragment, which no server ever sees. */
export async function linkTo(draft: Draft, page: string): Promise<string> {
  const bytes = new TextEncoder().encode(JSON.stringify([draft.name, draft.text]));
  const packed = await through(bytes, new CompressionStream("deflate-raw"));
  return `${page.split("#")[0] ?? ""}${mark}${toBase64Url(packed)}`;
}

export function carriesCircuit(fragment: string): boolean {
  return fragment.startsWith(mark);
}

/** The circuit that a link carries; undefined where it carries none, an error where it is damaged. */
export async function circuitIn(fragment: string): Promise<Draft | undefined> {
  if (!carriesCircuit(fragment)) return undefined;
  try {
    const packed = fromBase64Url(fragment.slice(mark.length));
    const bytes = await through(packed, new DecompressionStream("deflate-raw"), mostCharacters);
    const [name, text] = JSON.parse(new TextDecoder().decode(bytes)) as unknown[];
    if (typeof name === "string" && typeof text === "string") return { name, text };
  } catch {
    // Told below: whatever is wrong, the link is of no use.
  }
  throw new Error(
    "The link is damaged: the circuit that it carries cannot be read. Ask for it again, or for the file.",
  );
}

async function through(
  bytes: Uint8Array<ArrayBuffer>,
  stream: CompressionStream | DecompressionStream,
  most = Infinity,
) {
  const reader = new Blob([bytes]).stream().pipeThrough(stream).getReader();
  const pieces: Uint8Array[] = [];
  let length = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    length += value.length;
    if (length > most) throw new Error("too long");
    pieces.push(value);
  }
  const whole = new Uint8Array(length);
  let at = 0;
  for (const piece of pieces) {
    whole.set(piece, at);
    at += piece.length;
  }
  return whole;
}

function toBase64Url(bytes: Uint8Array): string {
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
}

function fromBase64Url(text: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (letter) => letter.charCodeAt(0));
}
