import { findingList, markup, pictureAnswer, pngUri } from "../../paper/index.js";
import { encodePng, type NoPicture, type Shown } from "../../raster/index.js";
import type { AnswerLine } from "../protocol.js";

/** What will I see? One frame as the monitor shows it. */
export function picturePage(seen: Shown | NoPicture | undefined): {
  readonly lines: readonly AnswerLine[];
  readonly html: string;
} {
  if (!seen) return { lines: [{ text: "The file names no picture." }], html: "" };
  const { state, answer } = pictureAnswer(seen);
  const lines = [{ ...(state && { state }), text: answer }];
  if (!seen.locked) return { lines, html: markup`${findingList(seen.findings)}`.text };
  const { width, height } = seen.picture;
  const html = markup`<div class="live-place"></div>
<details><summary>The first frame, with all delays typical</summary>
${findingList(seen.findings)}<figure>
<img class="picture" data-takeaway="picture" src="${pngUri(encodePng(seen.picture))}" width="${width}" height="${height}" alt="The picture that the monitor shows, ${width} by ${height} dots">
<figcaption>One frame, sampled in the middle of every dot.</figcaption>
</figure></details>
`;
  return { lines, html: html.text };
}
