import { type Missing, type Source, isMissing } from "./figures.js";
import type { InputFigures, LevelFigures, OutputFigures } from "./level-figures.js";

/** Levels that a builder says a part shares with one on record: every source says so. */
export function likened(levels: LevelFigures, like: string): LevelFigures {
  const marked = (source: Source): Source => ({
    ...source,
    column: [source.column, `taken as ${like}'s, by the own parts file`]
      .filter((text) => text !== undefined && text !== "")
      .join(", "),
  });
  return {
    ...levels,
    supplySource: marked(levels.supplySource),
    input(pin): InputFigures | Missing {
      const figures = levels.input(pin);
      if (isMissing(figures)) return figures;
      const { slowestEdge } = figures;
      return {
        ...figures,
        levelSource: marked(figures.levelSource),
        currentSource: marked(figures.currentSource),
        capacitanceSource: marked(figures.capacitanceSource),
        ...(slowestEdge && { slowestEdge: { ...slowestEdge, source: marked(slowestEdge.source) } }),
      };
    },
    output(pin): OutputFigures | Missing {
      const figures = levels.output(pin);
      if (isMissing(figures)) return figures;
      const { slope, transition } = figures;
      return {
        ...figures,
        highSource: marked(figures.highSource),
        lowSource: marked(figures.lowSource),
        offSource: marked(figures.offSource),
        ...(slope && { slope: { ...slope, source: marked(slope.source) } }),
        ...(transition && { transition: { ...transition, source: marked(transition.source) } }),
      };
    },
  };
}
