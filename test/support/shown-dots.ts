import type { Circuit } from "../../src/circuit/index.js";
import type { Lock, NoPicture, Shown } from "../../src/raster/index.js";
import { BeamScreen, type Machine, powerUpMachine } from "../../src/simulation/compiled/index.js";

/** Where a picture is expected on the wire, and how large it is. Counts are in stored dots and in lines. */
export interface Place {
  readonly columns: number;
  readonly rows: number;
  /** Lines that show one row. */
  readonly lineRepeat: number;
  /** One stored dot, in nanoseconds. */
  readonly dotNs: number;
  /** From the leading edge of horizontal sync to the first dot. */
  readonly dotsFromSync: number;
  /** From the line in which vertical sync begins to the first one of the picture. */
  readonly linesFromSync: number;
}

export interface ShownDots {
  readonly monitor: NoPicture | Shown;
  /** Levels of the video nets in the middle of each dot, first net in the highest bit, a text for each line of the picture. */
  readonly lines: readonly string[];
  /** Times at which any video net is high outside the picture. */
  readonly light: number;
  /** Places where the outcome hung on delays. */
  readonly doubts: readonly string[];
}

/**
 * What a compiled board sends to the monitor in one frame, dot for dot, with these bytes in its memories; `before` has a
 * processor do something first.
 */
export function shownDots(
  circuit: Circuit,
  place: Place,
  contents: ReadonlyMap<string, Uint8Array>,
  before: (machine: Machine) => void = () => undefined,
): ShownDots {
  const { machine, raster } = powerUpMachine(circuit, { seed: 1 });
  if (!circuit.picture || !raster) throw new Error("no picture");
  for (const chip of circuit.chips) {
    const bytes = contents.get(chip.ref);
    if (bytes) machine.load(chip, bytes);
  }
  before(machine);
  const screen = new BeamScreen(machine, circuit.picture, { raster, pixel: raster.h.active / place.columns });
  const monitor = screen.runFrame();
  const doubts = machine.doubts.map((doubt) => JSON.stringify(doubt));
  if (!monitor.locked) return { monitor, lines: [], light: 0, doubts };
  const { video } = screen.record;
  const at = (time: number) => video.map((tape) => (tape.valueAt(time) === 1 ? 1 : 0)).join("");
  const begins = lineBegins(monitor.lock, place.rows * place.lineRepeat, place.linesFromSync);
  const dot = place.dotNs * 1e6;
  const lines = begins.map((begin) =>
    Array.from({ length: place.columns }, (_, x) => at(begin + (place.dotsFromSync + x + 0.5) * dot)).join(" "),
  );
  let light = 0;
  const lineDots = Math.round(monitor.lock.h.period / dot);
  begins.forEach((begin) => {
    for (let x = place.columns; x < lineDots; x++) {
      if (at(begin + (place.dotsFromSync + x + 0.5) * dot).includes("1")) light++;
    }
  });
  return { monitor, lines, light, doubts };
}

/** The leading edges of the syncs before each line of the picture. */
function lineBegins({ h, v }: Lock, lines: number, linesFromSync: number): number[] {
  const [field] = [...v.leadingFs].slice(-2);
  if (field === undefined) return [];
  let nearest = 0;
  h.leadingFs.forEach((time, index) => {
    if (Math.abs(time - field) < Math.abs((h.leadingFs[nearest] ?? 0) - field)) nearest = index;
  });
  return Array.from({ length: lines }, (_, line) => h.leadingFs[nearest + linesFromSync + line] ?? Number.NaN);
}
