/** What an entry of a bench notebook tells. */
export const entryKinds = ["built", "measured", "found", "changed", "note"] as const;
export type EntryKind = (typeof entryKinds)[number];

/** One dated entry of a bench notebook. */
export interface Entry {
  /** `2026-11-28` or `2026-11-28 14:05`, as the clock on the bench had it. */
  readonly when: string;
  readonly kind: EntryKind;
  /** Of a measurement `U5.14=12.5 kHz`; otherwise words. Without line ends. */
  readonly text: string;
}

/** An entry as it stands in the file, without the line's end. */
export function entryLine({ when, kind, text }: Entry): string {
  return `${when} ${kind} ${text}`;
}

/**
 * The measurements that are of the board as it is now: those since something was built or changed last, the last one of each
 * pin. They are written as `diagnose --measured` takes them.
 */
export function standingMeasurements(entries: readonly Entry[]): readonly string[] {
  const byPlace = new Map<string, string>();
  for (const { kind, text } of entries) {
    if (kind === "built" || kind === "changed") byPlace.clear();
    if (kind !== "measured") continue;
    const place = text.slice(0, text.indexOf("=")).trim().toUpperCase();
    byPlace.delete(place);
    byPlace.set(place, text);
  }
  return [...byPlace.values()];
}
