import type { FileKind } from "./file-kind.js";
import { LIMITS } from "./limits.js";
import * as say from "./messages.js";
import type { Report } from "./report.js";

/** Refuses a text that can be no circuit at all: too long, binary, or empty. Costs at most one pass over the text. */
export function refuseText(text: string, report: Report): boolean {
  const complaint = unreadable(text, report.kind);
  if (complaint) report.add({ start: 0, end: 0 }, complaint);
  return complaint !== undefined;
}

function unreadable(text: string, kind: FileKind) {
  if (text.length > LIMITS.text) return say.tooLong(text.length, LIMITS.text, kind);
  // A zero byte is in no text; U+FFFD is what decoders put where bytes are no UTF-8.
  if (text.includes("\0")) return say.binary();
  if (text.includes("\uFFFD")) return say.notUtf8();
  return text.trim() === "" ? say.empty(kind) : undefined;
}
