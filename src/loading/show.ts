import { type NoPicture, type Picture, type Shown, blackPicture } from "../raster/index.js";
import { BeamScreen } from "../simulation/index.js";
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
  if (!monitor.locked) return { monitor };
  const [across, down] = [raster.h.active / map.width, raster.v.active / map.height];
  const picture = blackPicture(map.width, map.height, map.depth);
  const seen = monitor.picture;
  for (let y = 0; y < map.height; y++) {
    for (let x = 0; x < map.width; x++) {
      // The middle of a dot is where its edges reach last.
      const at = (y * down + (down >> 1)) * seen.width + x * across + (across >> 1);
      picture.dots[y * map.width + x] = seen.dots[at] ?? 0;
    }
  }
  return { monitor, picture };
}
