/** What a printed document says of itself. */
export interface PdfPages {
  readonly count: number;
  /** On which page, from 1, each place stands that something in the document leads to, by its id. */
  readonly byId: ReadonlyMap<string, number>;
}

/** Reads on which pages the places stand that a PDF's links lead to. */
export async function pagesOf(pdf: Uint8Array): Promise<PdfPages> {
  // Large, and needed here only.
  const { getDocument, VerbosityLevel } = await import("pdfjs-dist/legacy/build/pdf.mjs");
  // The library keeps the bytes for itself.
  const task = getDocument({ data: Uint8Array.from(pdf), verbosity: VerbosityLevel.ERRORS, isEvalSupported: false });
  try {
    const document = await task.promise;
    const destinations = (await document.getDestinations()) as Record<string, readonly unknown[]>;
    const byId = new Map<string, number>();
    for (const [id, [page]] of Object.entries(destinations)) {
      if (isReference(page)) byId.set(id, (await document.getPageIndex(page)) + 1);
    }
    return { count: document.numPages, byId };
  } finally {
    await task.destroy();
  }
}

function isReference(page: unknown): page is { num: number; gen: number } {
  return typeof page === "object" && page !== null && "num" in page && "gen" in page;
}
