import { MEASURED, RECALLED } from "../../parts/index.js";
import type { SourceEntry } from "./shape.js";

/** What a row rests on, in the catalogue's words. */
export interface RowSource {
  readonly publisher: string;
  readonly document: string;
  readonly table?: string;
  readonly title?: string;
  readonly url?: string;
  readonly fromMemory: boolean;
}

/** The sheet that an entry names, or what stands in for one; `note` says more of it. */
export function sourceOf(written: SourceEntry, note?: string): RowSource {
  if (written === "measured") {
    return {
      publisher: MEASURED,
      document: "on the bench",
      ...(note !== undefined && { table: note }),
      fromMemory: false,
    };
  }
  if (written === "from memory") {
    return {
      publisher: RECALLED,
      document: "no sheet read",
      ...(note !== undefined && { table: note }),
      fromMemory: true,
    };
  }
  const { publisher, document, title, url } = written;
  const table = [written.table, note].filter((text) => text !== undefined).join(", ");
  return {
    publisher,
    document,
    ...(table !== "" && { table }),
    ...(title !== undefined && { title }),
    ...(url !== undefined && { url }),
    fromMemory: false,
  };
}
