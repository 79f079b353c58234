import type { PathId } from "./paths.js";

/** The time of one possible cause of an edge: a path that starts `tick` oscillator periods from now (0 now, -1 the last). */
export interface Moment {
  readonly path: PathId;
  readonly tick: number;
}
