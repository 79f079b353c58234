/** Text that is already HTML or SVG. Everything else is escaped on its way in. */
export class Markup {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }

  toString(): string {
    return this.text;
  }
}

/** What may stand in a `markup` template: text and numbers are escaped, `false` and nothing leave no trace. */
export type Piece = string | number | Markup | false | undefined | readonly Piece[];

/**
 * HTML or SVG from a template. The literal parts are taken as they are; every value is escaped, so that a net called
 * `<b>` stays a net.
 */
export function markup(literals: TemplateStringsArray, ...values: readonly Piece[]): Markup {
  return new Markup(literals.map((literal, i) => literal + (i < values.length ? render(values[i]) : "")).join(""));
}

/** Pieces one after the other, with `between` in between. */
export function join(pieces: readonly Piece[], between = ""): Markup {
  return new Markup(pieces.map(render).join(between));
}

function render(piece: Piece): string {
  if (piece === undefined || piece === false) return "";
  if (piece instanceof Markup) return piece.text;
  if (typeof piece === "object") return piece.map(render).join("");
  return escapeText(String(piece));
}

/** Escapes for element text and for attributes in double quotes; drops what no document may hold. */
function escapeText(text: string): string {
  return text
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\ufffe\uffff]/g, "")
    .replace(/&/g, "&amp;")
    .replace(/</g, "&lt;")
    .replace(/>/g, "&gt;")
    .replace(/"/g, "&quot;")
    .replace(/'/g, "&#39;");
}
