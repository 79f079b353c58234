import { type NoPicture, type Picture, type Shown } from "../raster/index.js";
import { BeamScreen, ownPicture } from "../simulation/index.js";
import type { Contents } from "./mapping/bit-numbers.js";
import type { MappedScreen } from "./mapping/screen.js";

/** What a circuit shows of its memories: on the monitor, and dot for dot of the picture in memory. */
export interface ShownScreen {
  readonly monitor: NoPicture | Shown;
  /** Absent where the monitor does not lock. */
  readonly picture?: Picture;
}

/** Lets the circuit show what its memories hold; memories that are not given hold what they held. The machine goes on. */
export function showScreen({ machine, circuit, raster, map }: MappedScreen, contents: Contents): ShownScreen {
  const { picture: nets } = circuit;
  if (!nets) throw new RangeError("the circuit names no picture");
  for (const [chip, bytes] of contents) machine.load(chip, bytes);
  const screen = new BeamScreen(machine, nets, { raster, pixel: raster.h.active / map.width });
  screen.runFrame();
  const monitor = screen.runFrame();
  // A monitor places a picture by what is lit of it; where it stands is known from when all of it was.
  const own = monitor.locked
    ? ownPicture({ ...monitor, displacement: map.displacement }, raster, screen.record, map)
    : undefined;
  return { monitor, ...(own && { picture: own.picture }) };
}
