/** The colours of every page and drawing, by what they are for. Accents never carry meaning alone. */
export interface Palette {
  readonly paper: string;
  readonly ink: string;
  /** Rules, grids, outlines that only order the page. */
  readonly hairline: string;
  /** Text that stands back: sources, units, notes. */
  readonly quiet: string;
  readonly fails: string;
  readonly holds: string;
  /** What is asked of the reader, and the chain of a chosen rule. */
  readonly asks: string;
}

export const light: Palette = {
  paper: "#FBFAF5",
  ink: "#1D2226",
  hairline: "#C9C4B8",
  quiet: "#5A5D59",
  fails: "#A4452C",
  holds: "#3E6B4D",
  asks: "#2F4F79",
};

export const dark: Palette = {
  paper: "#16191C",
  ink: "#E8E4DA",
  hairline: "#484C4D",
  quiet: "#ABA89E",
  fails: "#E38F76",
  holds: "#8DC09D",
  asks: "#A2BDE2",
};

/** A humanist sans and its monospace, from what the reader's system has; nothing is fetched. */
export const sans = '"Gill Sans Nova", Seravek, Candara, Ubuntu, "Noto Sans", "DejaVu Sans", sans-serif';
export const mono = '"Cascadia Code", "Ubuntu Mono", Consolas, Menlo, "Noto Sans Mono", "DejaVu Sans Mono", monospace';

/**
 * The palette as CSS variables on `selector`: light on paper and by default, dark where the reader's screen asks for it.
 * Paper has no dark mode.
 */
export function paletteStyle(selector: string): string {
  const variables = (palette: Palette) =>
    Object.entries(palette)
      .map(([name, colour]) => `--${name}:${colour}`)
      .join(";");
  return [
    `${selector}{${variables(light)};color-scheme:light dark}`,
    `@media screen and (prefers-color-scheme:dark){${selector}{${variables(dark)}}}`,
  ].join("\n");
}
