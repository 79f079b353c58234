import type { Circuit } from "../../circuit/index.js";
import type { Markup } from "../markup.js";
import { type Label, type Box, Sheet } from "../sheet.js";
import type { Block } from "./blocks.js";
import type { Point } from "./layered-layout.js";
import { paintFrame } from "./paint-frame.js";
import { paintLines } from "./paint-lines.js";
import { type LaidOutSheet, planSheets } from "./plan-sheets.js";

/** A sheet of the pin-level diagram. */
export interface PinSheet {
  /** From 1; references in the drawings give these numbers. */
  readonly number: number;
  /** The blocks on it. */
  readonly titles: readonly string[];
  readonly svg: Markup;
  readonly width: number;
  readonly height: number;
  /** Every piece of text with the room that it may take, to find overlaps. */
  readonly labels: readonly Label[];
  /** Every symbol with the text around it. */
  readonly frames: readonly (Box & { readonly key: string })[];
  /** The corners of every line from one symbol to another. */
  readonly lines: readonly (readonly Point[])[];
}

/** Every chip with each of its signal pins once, on sheets by blocks. */
export async function pinDiagram(circuit: Circuit, blocks: readonly Block[]): Promise<PinSheet[]> {
  const sheets = await planSheets(circuit, blocks);
  return sheets.map((sheet) => drawn(sheet, sheets.length));
}

function drawn({ number, titles, frames, joins, layout }: LaidOutSheet, count: number): PinSheet {
  const sheet = new Sheet(`pin-sheet-${number}`, Math.ceil(layout.width) + 4);
  const height = Math.ceil(layout.height) + 4;
  paintLines(sheet, joins, layout);
  const boxes = frames.map((frame) => {
    const [x, y] = layout.boxes.get(frame.item.key) ?? [0, 0];
    paintFrame(sheet, frame, [x, y]);
    return { key: frame.item.key, x, y, width: frame.width, height: frame.height };
  });
  const refs = [...new Set(frames.map(({ item }) => item.ref))].join(", ");
  const title = `Pin-level diagram, sheet ${number} of ${count}: ${titles.join("; ")}`;
  return {
    number,
    titles,
    svg: sheet.svg(
      height,
      title,
      `The pins of ${refs} with their nets, which the pin maps and the wiring list give as text.`,
    ),
    width: sheet.width,
    height,
    labels: sheet.labels,
    frames: boxes,
    lines: joins.map(({ id }) => layout.lines.get(id)?.points ?? []),
  };
}
