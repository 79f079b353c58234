import { join, type Markup, markup } from "./markup.js";
import { mono, paletteStyle, sans } from "./palette.js";
import { type Face, textWidth } from "./text-width.js";

/** A rectangle on the sheet, in px. */
export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface Label extends Box {
  readonly text: string;
}

export interface TextStyle {
  readonly anchor?: "start" | "middle" | "end";
  /** In px; 11 by default. */
  readonly size?: number;
  readonly face?: Face;
  /** CSS classes besides the face's. */
  readonly class?: string;
}

/** A drawing in the making: shapes in the order of painting, and the box of every label so that overlaps can be found. */
export class Sheet {
  readonly name: string;
  readonly width: number;
  readonly labels: Label[] = [];
  readonly #shapes: Markup[] = [];
  readonly #texts: Markup[] = [];

  /** `name` makes the drawing's ids unique on a page; `width` in px. */
  constructor(name: string, width: number) {
    this.name = name;
    this.width = width;
  }

  line(x1: number, y1: number, x2: number, y2: number, style: string): void {
    this.#shapes.push(markup`<path class="${style}" d="M${n(x1)} ${n(y1)}L${n(x2)} ${n(y2)}"/>`);
  }

  /** An open path through points; a closed one with `close`. */
  path(points: readonly (readonly [number, number])[], style: string, close = false): void {
    this.#shapes.push(markup`<path class="${style}" d="${outline(points)}${close ? "Z" : ""}"/>`);
  }

  /** A closed area filled with 45° hatching. */
  hatch(points: readonly (readonly [number, number])[]): void {
    this.#shapes.push(markup`<path fill="url(#${this.name}-hatch)" d="${outline(points)}Z"/>`);
  }

  rect({ x, y, width, height }: Box, style: string): void {
    this.#shapes.push(
      markup`<rect class="${style}" x="${n(x)}" y="${n(y)}" width="${n(width)}" height="${n(height)}"/>`,
    );
  }

  circle(x: number, y: number, radius: number, style: string): void {
    this.#shapes.push(markup`<circle class="${style}" cx="${n(x)}" cy="${n(y)}" r="${n(radius)}"/>`);
  }

  /** Anything else that is painted among the shapes. */
  shape(shape: Markup): void {
    this.#shapes.push(shape);
  }

  /** One line of text with its baseline at `y`, painted above all shapes. Returns the box that it may take. */
  text(x: number, y: number, text: string, style: TextStyle = {}): Box {
    const { anchor = "start", size = 11, face = "sans" } = style;
    const width = textWidth(text, size, face);
    const left = anchor === "start" ? x : anchor === "middle" ? x - width / 2 : x - width;
    const box = { x: left, y: y - size * 0.82, width, height: size * 1.06 };
    this.labels.push({ ...box, text });
    const classes = style.class === undefined ? face : `${face} ${style.class}`;
    this.#texts.push(
      markup`<text class="${classes}" x="${n(x)}" y="${n(y)}" font-size="${size}" text-anchor="${anchor}">${text}</text>`,
    );
    return box;
  }

  /** The drawing as an `svg` element. `title` and `description` speak for it to those who do not see it. */
  svg(height: number, title: string, description: string): Markup {
    const { name } = this;
    const [w, h] = [n(this.width), n(height)];
    return markup`<svg class="drawing" xmlns="http://www.w3.org/2000/svg" width="${w}" height="${h}" viewBox="0 0 ${w} ${h}" role="img" aria-labelledby="${name}-title ${name}-description"><title id="${name}-title">${title}</title><desc id="${name}-description">${description}</desc><defs><pattern id="${name}-hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="hatch-line" d="M0 0V5"/></pattern></defs>
<g fill="none">
${join(this.#shapes, "\n")}
${join(this.#texts, "\n")}
</g></svg>
`;
  }
}

/** A drawing as a file of its own, with the style that a page would give it. */
export function standaloneSvg(drawing: Markup): string {
  const style = `<style>${paletteStyle(".drawing")}\n.drawing{background:var(--paper)}\n${drawingStyle}</style>`;
  return `<?xml version="1.0" encoding="UTF-8"?>\n${drawing.text.replace("<defs>", () => `${style}<defs>`)}`;
}

/** How drawings look: data-sheet lines on paper. Needs the palette's variables. */
export const drawingStyle = `.drawing text{fill:var(--ink);font-variant-numeric:tabular-nums;paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}
.drawing .sans{font-family:${sans}}
.drawing .mono{font-family:${mono}}
.drawing .quiet{fill:var(--quiet)}
.drawing .asks-text{fill:var(--asks)}
.drawing .holds-text{fill:var(--holds)}
.drawing .fails-text{fill:var(--fails)}
.drawing .ink{stroke:var(--ink);stroke-width:1.2}
.drawing .thin{stroke:var(--ink);stroke-width:.6}
.drawing .bus{stroke:var(--ink);stroke-width:2.4}
.drawing .heavy{font-weight:600}
.drawing .hairline{stroke:var(--hairline);stroke-width:1}
.drawing .grid{stroke:var(--hairline);stroke-width:.6}
.drawing .hatch-line{stroke:var(--ink);stroke-width:1;opacity:.75}
.drawing .solid{fill:var(--ink)}
.drawing .paper{fill:var(--paper)}
.drawing .body{fill:var(--paper);stroke:var(--ink);stroke-width:1.2}
.drawing .asks{stroke:var(--asks);stroke-width:1.4}
.drawing .asks-solid{fill:var(--asks)}
.drawing .holds{stroke:var(--holds);stroke-width:1.4}
.drawing .fails{stroke:var(--fails);stroke-width:1.4}
.drawing .fails-solid{fill:var(--fails)}
.drawing .dashed{stroke-dasharray:4 3}`;

function outline(points: readonly (readonly [number, number])[]): string {
  return `M${points.map(([x, y]) => `${n(x)} ${n(y)}`).join("L")}`;
}

/** A coordinate, rounded so that the same drawing is the same text everywhere. */
function n(value: number): string {
  return String(Number(value.toFixed(2)) + 0);
}
