import { type Markup, markup, Markup as Raw, type Piece } from "./markup.js";
import { pageStyle } from "./page-style.js";

/** A whole HTML page that needs nothing from anywhere: no network, no scripts. `style` comes after the pages' own. */
export function page(title: string, body: Piece, style?: Piece): string {
  return markup`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>
${new Raw(pageStyle)}${style}</style>
</head>
<body>
${body}</body>
</html>
`.text;
}

/** A part of a page: its heading and notes stand in the margin, its content beside them. */
export interface PageSection {
  readonly id: string;
  readonly heading: string;
  /** Short notes under the heading. */
  readonly notes?: Piece;
  readonly content: Piece;
  /** Starts a new sheet when printed. */
  readonly newSheet?: boolean;
  /** Is printed across the long side of the sheet. */
  readonly across?: boolean;
}

export function section({ id, heading, notes, content, newSheet, across }: PageSection): Markup {
  const classes = ["part", ...(newSheet ? ["new-sheet"] : []), ...(across ? ["across"] : [])].join(" ");
  return markup`<section class="${classes}" aria-labelledby="${id}">
<div class="margin"><h2 id="${id}">${heading}</h2>
${notes !== undefined && markup`<div class="notes">${notes}</div>`}</div>
<div class="content">
${content}</div>
</section>
`;
}

/** Wide content that scrolls by itself on a narrow screen, from the keyboard too. */
export function scrolling(label: string, content: Piece): Markup {
  return markup`<section class="scrolling" aria-label="${label}" tabindex="0">
${content}</section>
`;
}
