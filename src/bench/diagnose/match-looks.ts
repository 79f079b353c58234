import type { ScreenSignature } from "../signature/screen-signature.js";
import type { Look } from "./gallery.js";
import { LookFit } from "./look-fit.js";

/** A look and how well it explains a photograph: the lower the better. */
export interface Match {
  readonly look: Look;
  readonly misfit: number;
}

/** Ready fits by their screens: one photograph is often compared again with its corners moved. */
const ready = new WeakMap<ScreenSignature, LookFit>();

/**
 * Looks in the order in which they explain a straightened photograph. Each is fitted by least squares with stray light, a light
 * that varies over the screen, blur, and corners that are off by a cell or so; how many parameters that took counts against it
 * (the Bayesian information criterion).
 */
export function matchLooks(cells: Float64Array, looks: readonly Look[]): readonly Match[] {
  const count = cells.length;
  return looks
    .map((look): Match => {
      const { residue, gain, parameters } = fitOf(look.screen).fit(cells);
      // A look that would have to be turned over is none.
      const turned = gain !== undefined && gain <= 0 ? count * Math.log(4) : 0;
      return { look, misfit: count * Math.log(residue / count + 1) + parameters * Math.log(count) + turned };
    })
    .sort((a, b) => a.misfit - b.misfit);
}

function fitOf(screen: ScreenSignature): LookFit {
  const known = ready.get(screen) ?? new LookFit(screen.locked ? screen.cells : undefined);
  ready.set(screen, known);
  return known;
}
