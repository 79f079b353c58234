import type { Chip, Circuit } from "../circuit/index.js";
import {
  type Contents,
  type Filled,
  type MemoryImage,
  type NextView,
  type NoPath,
  type Numbering,
  type SentByte,
  type WritePath,
  bestOrder,
  differenceOf,
  numberingOf,
  renumbered,
  wordsOf,
} from "../loading/index.js";
import { imageFile } from "./load-images.js";
import { comingIn } from "./load-view.js";

/** One of the memories that are filled: how it is written, and how whoever writes counts. */
export interface Memory {
  readonly ram: Chip;
  readonly path?: WritePath;
  readonly numbering?: Numbering;
  /** In whose numbers its images are, where not in those of its own pins. */
  readonly outside?: Numbering;
}

/** What goes into one memory. */
export interface Filling extends Memory {
  readonly image: MemoryImage;
  /** What is sent of it, in the order that takes least. */
  readonly order: readonly SentByte[];
}

export function memoryOf(circuit: Circuit, ram: Chip, way: WritePath | NoPath, pins: "processor" | "memory"): Memory {
  const path = "problem" in way ? undefined : way;
  const numbering = path && numberingOf(circuit, path);
  return {
    ram,
    ...(path && { path }),
    ...(numbering && { numbering }),
    ...(numbering && pins === "processor" && { outside: numbering }),
  };
}

/** The file of one memory's image: where there are several, each has its own, `out/card.U5.hex`. */
export function fileOf(path: string, ram: Chip, memories: readonly unknown[]): string {
  if (memories.length < 2) return path;
  const [, stem = path, ending = ""] = /^(.*?)(\.[^./]*)?$/.exec(path) ?? [];
  return `${stem}.${ram.ref}${ending}`;
}

/** @throws BadInput where a file is no image of its memory */
export async function readImages(
  path: string | undefined,
  rams: readonly Chip[],
): Promise<ReadonlyMap<Chip, MemoryImage> | undefined> {
  if (path === undefined) return undefined;
  const images = new Map<Chip, MemoryImage>();
  for (const ram of rams) images.set(ram, await imageFile(fileOf(path, ram, rams), ram));
  return images;
}

/** Images as the memories' own pins count. */
export function inside(
  images: ReadonlyMap<Chip, MemoryImage> | undefined,
  memories: readonly Memory[],
): Contents | undefined {
  if (!images) return undefined;
  return new Map(
    memories.flatMap(({ ram, outside }) => {
      const image = images.get(ram);
      return image ? [[ram, (outside ? renumbered(image, outside, true) : image).bytes] as const] : [];
    }),
  );
}

/** What the memories hold as layers are put on it: where the picture moves, what comes in begins dark. */
export function heldBefore(
  before: Contents | undefined,
  memories: readonly Memory[],
  next: NextView | undefined,
): Contents | undefined {
  if (next?.rows === undefined) return before;
  return new Map(
    memories.map(({ ram }) => {
      const incoming = next.incoming.get(ram);
      const held = before?.get(ram) ?? new Uint8Array(wordsOf(ram));
      // What comes onto the screen was left there by somebody.
      return [ram, held.map((byte, at) => (incoming?.[at] === 1 ? 0 : byte))];
    }),
  );
}

/** What is written to each memory and sent to it. */
export function fillingsOf(
  memories: readonly Memory[],
  filled: Filled,
  known: { readonly start?: Contents; readonly old?: Contents; readonly next?: NextView; readonly isRead: boolean },
): readonly Filling[] {
  return memories.map((memory) => {
    const { ram, path } = memory;
    const needed = filled.needed.get(ram);
    const whole: MemoryImage = {
      bytes: filled.contents.get(ram) ?? new Uint8Array(wordsOf(ram)),
      ...(needed?.includes(0) && { given: needed }),
    };
    const [old, start] = [known.old?.get(ram), known.start?.get(ram)];
    const image = old
      ? differenceOf(whole, old)
      : known.next?.rows !== undefined && start
        ? comingIn(whole, known.next.incoming.get(ram), start, known.isRead)
        : whole;
    const bytes = Array.from(image.bytes, (byte, address) => ({ address, byte })).filter(
      ({ address }) => (image.given?.[address] ?? 1) === 1,
    );
    return { ...memory, image, order: path ? bestOrder(path, bytes) : bytes };
  });
}
