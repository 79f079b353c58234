import { z } from "zod";
import { ReadingTable } from "./reading.js";
import type { ScreenSignature } from "./screen-signature.js";
import type { Signature } from "./simulate-group.js";

const screen = z.union([
  z.object({
    locked: z.literal(false),
    reason: z.enum([
      "no horizontal sync",
      "no vertical sync",
      "unsteady lines",
      "unsteady frames",
      "no whole lines",
      "out of range",
      "record too short",
    ]),
  }),
  z.object({ locked: z.literal(true), lineHz: z.number(), frameHz: z.number(), cells: z.string() }),
]);
const kept = z.object({
  signatures: z.literal(1),
  key: z.string(),
  screens: z.array(screen),
  boards: z.array(
    z.object({
      isShorted: z.boolean(),
      wanders: z.boolean(),
      readings: z.array(z.number()),
      screens: z.tuple([z.number(), z.number()]).optional(),
    }),
  ),
});

/** Signatures as text, to be kept; `key` says of what they are. */
export function keepSignatures(key: string, signatures: readonly Signature[]): string {
  const screens: ScreenSignature[] = [];
  const numberOf = new Map<string, number>();
  const number = (one: ScreenSignature) => {
    const text = one.locked ? `${one.lineHz} ${one.frameHz} ${hexOf(one.cells)}` : one.reason;
    const known = numberOf.get(text) ?? screens.push(one) - 1;
    numberOf.set(text, known);
    return known;
  };
  const boards = signatures.map(({ isShorted, wanders, readings, screens: own }) => ({
    isShorted,
    wanders,
    readings: Array.from(readings.numbers, (value) => Number(value.toPrecision(7))),
    ...(own && { screens: own.map(number) }),
  }));
  const list = screens.map((one) => (one.locked ? { ...one, cells: hexOf(one.cells) } : one));
  return JSON.stringify({ signatures: 1, key, screens: list, boards });
}

/** Reads what `keepSignatures` wrote; undefined where it is of something else, or no such text at all. */
export function readSignatures(key: string, text: string): readonly Signature[] | undefined {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return undefined;
  }
  const found = kept.safeParse(value);
  if (!found.success || found.data.key !== key) return undefined;
  const screens = found.data.screens.map((one): ScreenSignature =>
    one.locked ? { ...one, cells: fromHex(one.cells) } : one,
  );
  return found.data.boards.map(({ isShorted, wanders, readings, screens: own }): Signature => {
    const [one, other] = (own ?? []).map((index) => screens[index]);
    return {
      isShorted,
      wanders,
      readings: new ReadingTable(Float32Array.from(readings)),
      ...(one && other && { screens: [one, other] as const }),
    };
  });
}

function hexOf(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function fromHex(text: string): Uint8Array {
  return Uint8Array.from({ length: text.length / 2 }, (_, index) =>
    Number.parseInt(text.slice(2 * index, 2 * index + 2), 16),
  );
}
