import { drawRaster, findingList, lockAnswer, markup, pngUri, rasterView, scrolling } from "../../paper/index.js";
import { encodePng, type NoPicture, type Shown } from "../../raster/index.js";
import type { AnswerLine } from "../protocol.js";

/** Will the monitor lock? What it measures on the sync and video nets, and a line and a frame to scale. */
export function lockPage(
  seen: Shown | NoPicture,
  width: number,
): { readonly lines: readonly AnswerLine[]; readonly html: string } {
  const { state, answer } = lockAnswer(seen);
  const lines = [{ ...(state && { state }), text: answer }];
  if (!seen.locked) return { lines, html: markup`${findingList(seen.findings)}`.text };
  const view = rasterView(seen);
  const picture = pngUri(encodePng(seen.picture));
  const html = markup`${findingList(seen.findings)}<figure data-takeaway="raster">
${scrolling("One line and one frame to scale", drawRaster(view, picture, "raster", width).svg)}
<figcaption>Measured on the simulated sync and video nets, as a monitor would. Per cent of ${view.standard}: ${view.source}${!view.porchesSeen && " The picture is dark, so its edges cannot be seen: the porches are the standard's."}</figcaption>
</figure>
${rasterTable(view)}`;
  return { lines, html: html.text };
}

function rasterTable(view: ReturnType<typeof rasterView>) {
  const rows = [view.line, view.frame].map(
    ({ unit, strips, total, standardTotal, time }) => markup`<tbody>
<tr><th scope="rowgroup" colspan="5" class="group">${unit === "dots" ? "A line" : "A frame"}, in ${unit}</th></tr>
${[...strips, { name: "in all", count: total, standard: standardTotal, time }].map(
  (strip) =>
    markup`<tr><th scope="row">${strip.name}</th><td class="number">${count(strip.count)}</td><td class="number">${count(strip.standard)}</td><td class="number">${(strip.time / 1e9).toFixed(3)}</td><td class="number">${percent(strip.count, strip.standard)}</td></tr>
`,
)}</tbody>
`,
  );
  return scrolling(
    "The raster as a table",
    markup`<table data-takeaway="raster-table">
<caption>The same as a table</caption>
<thead><tr><th scope="col">part</th><th scope="col" class="number">measured</th><th scope="col" class="number">standard</th><th scope="col" class="number">µs</th><th scope="col" class="number">of standard, %</th></tr></thead>
${rows}</table>
`,
  );
}

function count(value: number): string {
  return String(Number(value.toFixed(2)));
}

function percent(measured: number, standard: number): string {
  return standard === 0 ? "–" : ((100 * measured) / standard).toFixed(2);
}
