import { CELLS_HIGH, CELLS_WIDE, type Fault, type Look } from "../../bench/index.js";
import { encodePng } from "../../raster/index.js";
import { lookPicture } from "../look-picture.js";
import { type Markup, markup } from "../markup.js";
import { scrolling, section } from "../page.js";
import { pngUri } from "../png-uri.js";

/** What single faults do to the screen of one board. */
export interface Gallery {
  readonly faults: readonly Fault[];
  readonly looks: readonly Look[];
}

/** Looks that are shown: four sheets of them. The rest are of few faults each. */
const MOST_PICTURES = 48;
/** Looks that are told in the same words have a heading of their own from so many on: a row of them. */
const WORTH_A_HEADING = 4;
/** Mean of a screen's cells, of 255, below which it is black to the eye. Our own choice. */
const BLACK = 5;
/** Numbers of looks that are told in one row. */
const NUMBERS = 4;
/** Faults that are named under a look. */
const NAMED = 2;

/** What single faults look like: screens without a picture as a table, the commonest others as pictures. */
export function gallerySection({ faults, looks }: Gallery, file: string): Markup {
  const own = (look: Look) => look.faults.flatMap((fault) => faults[fault] ?? []);
  const usual = looks.find(({ isUsual }) => isUsual);
  const dark = looks.filter((look) => isDark(look));
  const lit = looks.filter((look) => !isDark(look) && !look.isUsual);
  const shown = lit.slice(0, MOST_PICTURES);
  const left = lit.length - shown.length;
  const several = [...byText(shown)].filter(([, alike]) => alike.length >= WORTH_A_HEADING);
  const others = shown.filter((look) => !several.some(([text]) => text === look.text));
  return section({
    id: "gallery",
    heading: "What single faults look like",
    notes: markup`<p>Simulated without delays while the processor writes the test card over and over. Each look has the number that diagnose gives it.</p>`,
    content: markup`<p>${faults.length.toLocaleString("en")} single faults of the wiring were tried: a wire missing, misplaced or swapped, two pins shorted, a net stuck, a chip absent, backwards or wrong. ${usual ? `${usual.faults.length} of them leave the picture as it is. ` : ""}Find what your screen shows, and go on from its number:</p>
<pre class="listing">npx dotwright diagnose ${file} --shows NUMBER</pre>
${
  left > 0 &&
  markup`<p>${left.toLocaleString("en")} looks of ${atMost(lit[MOST_PICTURES]?.faults.length ?? 0)} each are left out here. Pictures of all of them are written by</p>\n<pre class="listing">npx dotwright diagnose ${file} --gallery FOLDER</pre>\n`
}${dark.length > 0 && scrolling("Table of screens without a picture", darkTable(dark, own))}${several.map(
      ([text, alike]) => markup`<h3>${text}</h3>\n${figures(alike, own)}`,
    )}${
      others.length > 0 &&
      markup`${several.length > 0 && markup`<h3>Other looks</h3>\n`}${figures(others, own, ({ text }) => `${text} `)}`
    }`,
  });
}

function atMost(faults: number): string {
  return faults === 1 ? "one fault" : `${faults} faults or fewer`;
}

/** Looks by what one sees, the commonest first. */
function byText(looks: readonly Look[]): ReadonlyMap<string, readonly Look[]> {
  const groups = new Map<string, Look[]>();
  for (const look of looks) groups.set(look.text, [...(groups.get(look.text) ?? []), look]);
  return groups;
}

function figures(
  looks: readonly Look[],
  own: (look: Look) => readonly Fault[],
  say: (look: Look) => string = () => "",
): Markup {
  return markup`<div class="looks">\n${looks.map((look) => figure(look, own(look), say(look)))}</div>\n`;
}

/** A screen of which a picture would show nothing. */
function isDark({ screen }: Look): boolean {
  return !screen.locked || screen.cells.reduce((sum, value) => sum + value, 0) < BLACK * screen.cells.length;
}

function darkTable(looks: readonly Look[], own: (look: Look) => readonly Fault[]): Markup {
  const rows = [...byText(looks)].map(([text, alike]) => {
    const numbers = alike.slice(0, NUMBERS).map(({ number }) => number);
    const more = alike.length - numbers.length;
    const faults = alike.reduce((sum, look) => sum + look.faults.length, 0);
    return markup`<tr><td class="number">${numbers.join(", ")}${more > 0 && ` and ${more} more`}</td><td>${text}</td><td class="number">${faults}</td><td>${named(alike.flatMap(own))}</td></tr>\n`;
  });
  return markup`<table class="own">
<caption>Screens that show no picture, or none that stands</caption>
<thead><tr><th scope="col" class="number">look</th><th scope="col">what you see</th><th scope="col" class="number">faults</th><th scope="col">the likeliest</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}

function figure(look: Look, faults: readonly Fault[], said: string): Markup {
  const { screen, number, text } = look;
  const uri = screen.locked ? pngUri(encodePng(lookPicture(screen.cells, 1))) : "";
  return markup`<figure>
<img class="picture" src="${uri}" width="${CELLS_WIDE * 2}" height="${CELLS_HIGH * 2}" alt="Look ${number}: ${text}">
<figcaption><b>${number}</b> ${said}${faults.length} ${faults.length === 1 ? "fault" : "faults"}. ${named(faults)}</figcaption>
</figure>
`;
}

/** The likeliest faults of different kinds, and how many more there are. */
function named(faults: readonly Fault[]): string {
  const kinds = new Set<Fault["kind"]>();
  const different = faults.filter(({ kind }) => !kinds.has(kind) && kinds.add(kind));
  return [...different, ...faults.filter((fault) => !different.includes(fault))]
    .slice(0, NAMED)
    .map(({ text }) => text)
    .join(" ");
}
