import { textTable } from "../paper/index.js";
import { movedText, triedMargin, whatIfNote, whatIfSentences } from "../paper/what-if-words.js";
import type { Tried, WhatIf } from "../planning/index.js";
import { limitsInShort } from "../timing/index.js";
import { paragraphs, wrapped } from "./prove-layout.js";

/** What a board bears: how fast, how long wires, which chip buys most, and a table of everything else that was tried. */
export function whatIfText(found: WhatIf): string {
  const more = found.isComplete ? "" : " --seconds gives it more.";
  return paragraphs([
    ...whatIfSentences(found).map(wrapped),
    triedTable(found.tried),
    wrapped(`${whatIfNote(found)}${more}`),
    wrapped(limitsInShort),
  ]);
}

function triedTable(tried: readonly Tried[]): string {
  const rows = tried.map((one) => [
    one.variation.what,
    one.variation.value,
    one.failing > 0 ? `${one.state}: ${one.failing}` : one.state,
    triedMargin(one),
    one.tightest?.name ?? "",
    movedText(one),
  ]);
  return textTable(
    [
      { head: "what" },
      { head: "other" },
      { head: "state" },
      { head: "margin", align: "right" },
      { head: "at", most: 24 },
      { head: "tightest that it moves", most: 34 },
    ],
    rows,
  );
}
