import type { Source } from "./figures.js";

/** Where a figure was read, in a line; what was recalled and not read says so. */
export function sourceLine({ publisher, document, table, column, fromMemory, ownFile }: Source): string {
  const place = [table, column].filter((part) => part !== undefined && part !== "").join(", ");
  const read = publisher === "from memory" ? `${publisher}, ${document}` : `${publisher} ${document}`.trim();
  const memory = fromMemory && publisher !== "from memory" ? " (from memory)" : "";
  return `${read}${place === "" ? "" : `, ${place}`}${memory}${ownFile === undefined ? "" : `, in ${ownFile}`}`;
}
