/** Offers a file to keep, made here and now. */
export function takeAway(name: string, content: Blob): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(content);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

/** A drawing of the page as a file of its own, with the colours that it has on paper. */
export function svgFile(drawing: SVGElement, style: string): Blob {
  const copy = drawing.cloneNode(true) as SVGElement;
  copy.removeAttribute("style");
  const sheet = document.createElementNS("http://www.w3.org/2000/svg", "style");
  sheet.textContent = style;
  copy.prepend(sheet);
  return new Blob([new XMLSerializer().serializeToString(copy)], { type: "image/svg+xml" });
}

/** The same painted at twice its size. */
export async function pngOfSvg(drawing: SVGElement, style: string): Promise<Blob> {
  const url = URL.createObjectURL(svgFile(drawing, style));
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [image.naturalWidth * 2, image.naturalHeight * 2];
    canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
    return await new Promise((resolve, reject) =>
      canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("The drawing is too large to be painted.")))),
    );
  } finally {
    URL.revokeObjectURL(url);
  }
}

/** The file that an image carries in its address. */
export function pngFile({ src }: HTMLImageElement): Blob {
  const bytes = Uint8Array.from(atob(src.slice(src.indexOf(",") + 1)), (letter) => letter.charCodeAt(0));
  return new Blob([bytes], { type: "image/png" });
}

/** A table as comma-separated values (RFC 4180), one row a line, cells as they read on the page. */
export function csvOf(table: HTMLTableElement): Blob {
  const lines = [...table.rows].map((row) =>
    [...row.cells].map((cell) => field(cell.textContent.trim().replace(/\s+/g, " "))).join(","),
  );
  return new Blob([`${lines.join("\r\n")}\r\n`], { type: "text/csv" });
}

function field(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replace(/"/g, '""')}"` : text;
}
