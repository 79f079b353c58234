/** A memory image: bytes, and which of them are given. */
export interface MemoryImage {
  readonly bytes: Uint8Array;
  /** 1 where the byte is given; absent where all are. */
  readonly given?: Uint8Array;
}

/** Why a file cannot be taken, in a sentence without its name: what is wrong, and where. */
export interface Refused {
  readonly problem: string;
}

export function isRefused(value: object): value is Refused {
  return "problem" in value;
}

/** Bytes at consecutive addresses. */
export interface Stretch {
  readonly address: number;
  readonly bytes: Uint8Array;
}

/** What is given of an image, in stretches from low to high. */
export function stretchesOf({ bytes, given }: MemoryImage): readonly Stretch[] {
  if (!given) return bytes.length > 0 ? [{ address: 0, bytes }] : [];
  const stretches: Stretch[] = [];
  for (let at = 0; at < bytes.length;) {
    if (given[at] !== 1) {
      at++;
      continue;
    }
    let end = at;
    while (end < bytes.length && given[end] === 1) end++;
    stretches.push({ address: at, bytes: bytes.subarray(at, end) });
    at = end;
  }
  return stretches;
}

/** Puts stretches into an image of so many bytes; what is not given is 0. Refused where they do not fit. */
export function imageOf(stretches: readonly Stretch[], size: number): MemoryImage | Refused {
  const bytes = new Uint8Array(size);
  const given = new Uint8Array(size);
  for (const { address, bytes: part } of stretches) {
    const end = address + part.length;
    if (end > size) {
      return { problem: `reaches up to address ${hex(end - 1)}; the memory ends at ${hex(size - 1)}` };
    }
    bytes.set(part, address);
    given.fill(1, address, end);
  }
  return given.includes(0) ? { bytes, given } : { bytes };
}

/** The bytes of an image that differ from those of another: a partial update. */
export function differenceOf(image: MemoryImage, before: Uint8Array): MemoryImage {
  const given = Uint8Array.from(image.bytes, (byte, at) =>
    (image.given?.[at] ?? 1) === 1 && byte !== before[at] ? 1 : 0,
  );
  return { bytes: image.bytes, given };
}

/** How many bytes are given. */
export function givenCount({ bytes, given }: MemoryImage): number {
  return given ? given.reduce((sum, one) => sum + one, 0) : bytes.length;
}

/** An address as people write it. */
export function hex(value: number, digits = 4): string {
  return `0x${value.toString(16).padStart(digits, "0")}`;
}
