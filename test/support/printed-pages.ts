import { getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";

/** A page of a PDF as its reader finds it. Lengths in points, from the lower left corner. */
export interface PrintedPage {
  readonly width: number;
  readonly height: number;
  readonly texts: readonly PrintedText[];
}

/** A piece of text on one line: where its baseline begins, how wide it is, and the size of its letters. */
export interface PrintedText {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly size: number;
}

/** The pages of a PDF with their text. */
export async function printedPages(pdf: Uint8Array): Promise<PrintedPage[]> {
  const task = getDocument({ data: Uint8Array.from(pdf), verbosity: 0 });
  const document = await task.promise;
  const pages: PrintedPage[] = [];
  for (let number = 1; number <= document.numPages; number++) {
    const page = await document.getPage(number);
    const [left = 0, bottom = 0, right = 0, top = 0] = page.view;
    const { items } = await page.getTextContent();
    pages.push({
      width: right - left,
      height: top - bottom,
      texts: items.flatMap((item) =>
        "str" in item && item.str.trim() !== "" ? [printedText(item.str, item.width, item.transform as number[])] : [],
      ),
    });
  }
  await task.destroy();
  return pages;
}

function printedText(text: string, width: number, [a = 0, b = 0, , , x = 0, y = 0]: readonly number[]): PrintedText {
  return { text, x, y, width, size: Math.hypot(a, b) };
}

/** Pieces of text that lie on each other, in pairs. What only touches is let be: so do letters of neighbouring lines. */
export function overlapping({ texts }: PrintedPage): string[] {
  const boxes = texts
    .map(({ text, x, y, width, size }) => ({ text, left: x, right: x + width, bottom: y, top: y + 0.7 * size, size }))
    .sort((one, other) => one.left - other.left);
  const pairs: string[] = [];
  for (const [index, one] of boxes.entries()) {
    for (let next = index + 1; next < boxes.length; next++) {
      const other = boxes[next];
      if (!other || other.left > one.right) break;
      // The halo of a label is its text once more.
      if (one.text === other.text && Math.hypot(one.left - other.left, one.bottom - other.bottom) < 0.1) continue;
      const across = Math.min(one.right, other.right) - other.left;
      const up = Math.min(one.top, other.top) - Math.max(one.bottom, other.bottom);
      const size = Math.min(one.size, other.size);
      if (across > 0.2 * size && up > 0.2 * size) pairs.push(`${one.text} | ${other.text}`);
    }
  }
  return pairs;
}

/** Lines of a page between its running head and its foot: places at which text stands at different heights. */
export function linesOf({ texts, height }: PrintedPage): number {
  const within = texts.filter(({ y }) => y > 40 && y < height - 40);
  return new Set(within.map(({ y }) => Math.round(y))).size;
}

/** The margins at the sides of our pages, in points: 14 mm upright, 12 mm across. A browser prints nothing into them. */
const sideMargin = ({ width, height }: PrintedPage) => ((width > height ? 12 : 14) / 25.4) * 72;

/** Text that the margins or the edge of the sheet cut off. */
export function clipped(page: PrintedPage): string[] {
  const { texts, width, height } = page;
  const side = sideMargin(page);
  // A browser's letters may be a little narrower than those they are read back with.
  const isOut = (t: PrintedText) =>
    t.x < side - 0.5 || t.x + t.width > width - side + 3 || t.y < 10 || t.y > height - 10;
  return texts.filter(isOut).map(({ text }) => text);
}

/** All text of a page in one, its spaces left out: letters that are joined are printed apart. */
export function wordsOf({ texts }: PrintedPage): string {
  return texts
    .map(({ text }) => text)
    .join("")
    .replace(/\s/g, "");
}
