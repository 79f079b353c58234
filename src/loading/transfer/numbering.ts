import type { Circuit, NetId } from "../../circuit/index.js";
import type { MemoryImage } from "../format/memory-image.js";
import type { SentByte } from "./sender.js";
import type { BitSource, WritePath } from "./write-path.js";

/**
 * How whoever writes counts addresses and data bits, where its lines are swapped on their way to the memory: of each of its
 * bits, by number, the bit of the memory's own pins.
 */
export interface Numbering {
  readonly address: readonly number[];
  readonly data: readonly number[];
  /** Whether both count alike. */
  readonly isSame: boolean;
  /** Names of the buses: `PA`, `PD`. */
  readonly names: readonly [string, string];
}

/**
 * The numbering of a processor's buses: where all address bits come from one bus of the circuit's inputs (`PA0`, `PA1`, ...), and
 * all data bits from one. Undefined where they do not: the bits of a chain of shift registers have no numbers of their own.
 */
export function numberingOf(circuit: Circuit, { stages, address, data }: WritePath): Numbering | undefined {
  // A chain's bits all come from one line, at one pulse after the other.
  if (stages.some(({ pulses }) => pulses > 1)) return undefined;
  const [high, low] = [busOf(circuit, address), busOf(circuit, data)];
  if (!high || !low) return undefined;
  const isSame = [high, low].every(({ bits }) => bits.every((bit, number) => bit === number));
  return { address: high.bits, data: low.bits, isSame, names: [high.name, low.name] };
}

function busOf({ nets }: Circuit, sources: readonly BitSource[]) {
  const found = new Map<number, number>();
  const stems = new Set<string>();
  for (const [bit, source] of sources.entries()) {
    // What is fixed stands above the rest, or the numbers would have a gap.
    if (source.kind === "fixed") continue;
    const [, stem = "", number = ""] = /^(.*?)(\d+)$/.exec(nets[source.net as NetId]?.name ?? "") ?? [];
    if (number === "" || found.has(Number(number)) || source.inverted) return undefined;
    stems.add(stem);
    found.set(Number(number), bit);
  }
  const bits = Array.from({ length: found.size }, (_, number) => found.get(number));
  const [name, another] = stems;
  if (name === undefined || another !== undefined || bits.includes(undefined)) return undefined;
  return { name, bits: bits.flatMap((bit) => bit ?? []) };
}

/** An image as the memory's own pins count, as whoever writes counts it; `back` the other way. */
export function renumbered(image: MemoryImage, { address, data }: Numbering, back = false): MemoryImage {
  const { bytes, given } = image;
  const moved = new Uint8Array(bytes.length);
  const movedGiven = given && new Uint8Array(bytes.length);
  const above = 2 ** address.length;
  for (let outside = 0; outside < bytes.length; outside++) {
    let inside = outside - (outside % above);
    address.forEach((bit, number) => (inside += (Math.floor(outside / 2 ** number) & 1) * 2 ** bit));
    const [from, to] = back ? [outside, inside] : [inside, outside];
    const byte = bytes[from] ?? 0;
    moved[to] = data.reduce((sum, bit, number) => {
      const level = back ? (byte >> number) & 1 : (byte >> bit) & 1;
      return sum | (level << (back ? bit : number));
    }, 0);
    if (movedGiven) movedGiven[to] = given[from] ?? 0;
  }
  return { bytes: moved, ...(movedGiven && { given: movedGiven }) };
}

/** A byte at a place as the memory's own pins count, as whoever writes counts. */
export function sentAs({ address: at, byte }: SentByte, { address, data }: Numbering): SentByte {
  const moved = (value: number, bits: readonly number[]) =>
    bits.reduce((sum, bit, number) => sum + (Math.floor(value / 2 ** bit) & 1) * 2 ** number, 0);
  const above = 2 ** address.length;
  return { address: at - (at % above) + moved(at % above, address), byte: moved(byte, data) };
}
