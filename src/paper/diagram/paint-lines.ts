import type { Sheet } from "../sheet.js";
import type { Layout, Line } from "./layered-layout.js";

/** Paints laid-out lines; where lines of one net part stands a dot. */
export function paintLines(sheet: Sheet, lines: readonly (Line & { readonly isBus: boolean })[], layout: Layout): void {
  const dots = new Set<string>();
  for (const { id, isBus } of lines) {
    const { points, junctions } = layout.lines.get(id) ?? { points: [], junctions: [] };
    if (points.length > 0) sheet.path(points, isBus ? "bus" : "thin");
    for (const [x, y] of junctions) {
      const place = `${x.toFixed(1)} ${y.toFixed(1)}`;
      if (dots.has(place)) continue;
      dots.add(place);
      sheet.circle(x, y, isBus ? 3.4 : 2.4, "solid");
    }
  }
}
