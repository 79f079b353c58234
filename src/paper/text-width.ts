export type Face = "sans" | "mono";

/**
 * An upper estimate of a line's width in the units of `size`. No font can be measured here, and the reader's may differ, so
 * letters count as wide as in the widest face of our list.
 */
export function textWidth(text: string, size: number, face: Face): number {
  let em = 0;
  for (const letter of text) em += face === "mono" ? 0.61 : sansEm(letter);
  return em * size;
}

/** The longest beginning of the text, with an ellipsis, that is no wider than `width`. */
export function fitText(text: string, width: number, size: number, face: Face): string {
  if (textWidth(text, size, face) <= width) return text;
  let length = text.length - 1;
  while (length > 0 && textWidth(`${text.slice(0, length)}…`, size, face) > width) length--;
  // Half of a surrogate pair is no letter.
  const kept = text.slice(0, length).replace(/[\ud800-\udbff]$/, "");
  return kept === "" ? "" : `${kept}…`;
}

function sansEm(letter: string): number {
  if (/[ijlI|.,:;'!()[\] ]/.test(letter)) return 0.4;
  if (/[mwMW@%]/.test(letter)) return 1;
  if (/[A-Z#&+=<>–−→0-9]/.test(letter)) return 0.78;
  return letter.charCodeAt(0) < 0x250 ? 0.64 : 1;
}
