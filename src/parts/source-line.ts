import type { Source } from "./figures.js";

/** Where a figure was read, in a line; what was recalled and not read says so. */
export function sourceLine({ publisher, document, table, column, fromMemory }: Source): string {
  const place = [table, column].filter((part) => part !== undefined && part !== "").join(", ");
  const read = publisher === "from memory" ? `${publisher}, ${document}` : `${publisher} ${document}`.trim();
  return `${read}${place === "" ? "" : `, ${place}`}${fromMemory && publisher !== "from memory" ? " (from memory)" : ""}`;
}
