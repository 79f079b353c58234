import { paletteStyle } from "../paper/palette.js";
import { drawingStyle } from "../paper/sheet.js";
import { csvOf, pngFile, pngOfSvg, svgFile, takeAway } from "./take-away.js";

const style = `${paletteStyle(".drawing")}\n.drawing{background:var(--paper)}\n${drawingStyle}`;

/** Under every drawing, table and picture: ways to take it along. */
export function addTakeAways(content: HTMLElement): void {
  for (const element of content.querySelectorAll<HTMLElement>("[data-takeaway]")) {
    const name = element.dataset["takeaway"] ?? "drawing";
    const drawing = element.querySelector<SVGElement>("svg.drawing");
    const table = element instanceof HTMLTableElement ? element : element.querySelector("table");
    const ways: [string, () => void][] = [];
    if (drawing) {
      ways.push(["SVG", () => takeAway(`${name}.svg`, svgFile(drawing, style))]);
      ways.push(["PNG", () => void pngOfSvg(drawing, style).then((png) => takeAway(`${name}.png`, png))]);
    } else if (table) {
      ways.push(["CSV", () => takeAway(`${name}.csv`, csvOf(table))]);
    } else if (element instanceof HTMLImageElement) {
      ways.push(["PNG", () => takeAway(`${name}.png`, pngFile(element))]);
    }
    element.after(line(ways));
  }
}

function line(ways: readonly [string, () => void][]): HTMLElement {
  const paragraph = document.createElement("p");
  paragraph.className = "take-away small quiet";
  paragraph.append("Take it along as ");
  for (const [label, run] of ways) {
    paragraph.append(button(label, run), " ");
  }
  return paragraph;
}

export function button(label: string, run: () => void): HTMLButtonElement {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = label;
  made.addEventListener("click", run);
  return made;
}
