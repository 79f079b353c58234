import { textWaves } from "../paper/index.js";
import { type Fs, formatTime } from "../quantity/index.js";
import { type BoardWaves, VALUE_LETTERS } from "../simulation/index.js";
import { wrapped } from "./prove-layout.js";

const WAVE_COLUMNS = 76;

/** The nets around the worst moment of something, which is told in `what`. */
export function wavesText(what: string, { tapes, from, to, at }: BoardWaves): string {
  const waves = tapes.map(({ name, tape }) => ({
    name,
    timesFs: tape.timesFs,
    letterAt: (time: number) => VALUE_LETTERS[tape.valueAt(time)],
  }));
  const drawn = textWaves(waves, { from, to, columns: WAVE_COLUMNS }, [{ at, letter: "a" }]);
  const span = `${formatTime((to - from) as Fs, 4)} from ${formatTime(from, 7)} after power-up`;
  return `${wrapped(`${what}; a is its worst moment. ${span}.`)}\n\n${drawn}`;
}
