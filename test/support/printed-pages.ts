import { getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";

/** A page of a PDF as its reader finds it. Lengths in points, from the lower left corner. */
export interface PrintedPage {
  readonly width: number;
  readonly height: number;
  readonly texts: readonly { readonly text: string; readonly x: number; readonly y: number; readonly width: number }[];
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
        "str" in item && item.str.trim() !== ""
          ? [{ text: item.str, x: Number(item.transform[4]), y: Number(item.transform[5]), width: item.width }]
          : [],
      ),
    });
  }
  await task.destroy();
  return pages;
}

/** Lines of a page between its running head and its foot: places at which text stands at different heights. */
export function linesOf({ texts, height }: PrintedPage): number {
  const within = texts.filter(({ y }) => y > 40 && y < height - 40);
  return new Set(within.map(({ y }) => Math.round(y))).size;
}

/** Text that the edge of the sheet cuts off. */
export function clipped({ texts, width, height }: PrintedPage): string[] {
  const isOut = (t: PrintedPage["texts"][number]) =>
    t.x < 10 || t.x + t.width > width - 10 || t.y < 10 || t.y > height - 10;
  return texts.filter(isOut).map(({ text }) => text);
}

/** All text of a page in one, its spaces left out: letters that are joined are printed apart. */
export function wordsOf({ texts }: PrintedPage): string {
  return texts
    .map(({ text }) => text)
    .join("")
    .replace(/\s/g, "");
}
