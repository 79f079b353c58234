import type { CycleDrawing } from "./cycle-drawing.js";
import { type Markup, markup } from "./markup.js";
import { scrolling } from "./page.js";
import { drawCycle } from "./timing-drawing.js";
import { timingTable } from "./timing-table.js";

export interface TimingFigureOptions {
  /** Makes the drawing's ids unique on a page. */
  readonly name: string;
  /** In px. */
  readonly width: number;
  /** What the drawing is, for those who come to it without seeing it. */
  readonly label: string;
  /** Attributes of the figure, with a space before each. */
  readonly attributes?: Markup;
}

/** A timing drawing with its note, and the same as a table for those who do not see it. */
export function timingFigure(drawing: CycleDrawing, { name, width, label, attributes }: TimingFigureOptions): Markup {
  return markup`<figure${attributes}>
${scrolling(label, drawCycle(drawing, name, width).svg)}
${drawing.note !== undefined && markup`<figcaption>${drawing.note}</figcaption>`}</figure>
<details><summary>The same as a table</summary>
${timingTable(drawing)}</details>
`;
}
