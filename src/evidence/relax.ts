import { type Fs, fs } from "../quantity/index.js";
import type { Tables } from "../simulation/index.js";
import type { ChainStep, Verdict } from "../timing/index.js";
import { type Relaxed, cornerOf, stepKey, valueOf } from "./corner.js";
import { PairWatch } from "./pair-watch.js";
import { type Rest, type Scene, stage } from "./scene.js";
import { type Sighting, pairOf } from "./sighting.js";

/** Oscillator periods that each of the many boards is run. */
const TRIAL_TICKS = 4096;
/** Halvings between what shows the failure and what does not. */
const HALVINGS = 10;
const RESTS: readonly Rest[] = ["earliest", "typical", "latest"];

/** A failure as it was seen on a board that is not the worst, and what was relaxed to see it. */
export interface RelaxedSighting extends Sighting {
  readonly scene: Scene;
  readonly relaxed: Relaxed;
}

export type Hint = Pick<RelaxedSighting, "relaxed" | "scene">;

/**
 * Where the worst delays make something else fail first, so that the two changes do not come: lets one delay after the other
 * go from its limit until they do, and then back as far as they still do. `hints` are what helped elsewhere.
 */
export function relax(
  tables: Tables,
  verdict: Verdict,
  seed: number,
  hints: readonly Hint[],
): RelaxedSighting | undefined {
  const { chains } = verdict;
  if (!chains) return undefined;
  const steps = new Map<string, ChainStep>();
  for (const step of [...chains.earlier, ...chains.later]) if (!step.cancelled) steps.set(stepKey(step), step);
  const others = [...steps].map(([key, step]): Relaxed => new Map([[key, otherEnd(step)]]));
  let best: RelaxedSighting | undefined;
  const consider = (found: RelaxedSighting | undefined) => {
    if (found && fails(found, verdict) && !(best && (best.available ?? 0) <= (found.available ?? 0))) best = found;
  };
  for (const { relaxed, scene } of hints) {
    consider(attempt(tables, verdict, relaxed, scene.rest, seed));
    if (best) return best;
  }
  for (const rest of RESTS) for (const relaxed of others) consider(attempt(tables, verdict, relaxed, rest, seed));
  return best && tightened(tables, verdict, best, steps);
}

function otherEnd({ used, min, max }: ChainStep): Fs {
  return used === "min" ? max : min;
}

/** The one relaxed delay taken back towards its limit, as far as the failure is still seen. */
function tightened(
  tables: Tables,
  verdict: Verdict,
  found: RelaxedSighting,
  steps: ReadonlyMap<string, ChainStep>,
): RelaxedSighting {
  let best = found;
  for (const [key, far] of found.relaxed) {
    const step = steps.get(key);
    if (!step) continue;
    let [near, seen] = [valueOf(step, new Map()) as number, far as number];
    for (let halving = 0; halving < HALVINGS; halving++) {
      const middle = Math.round((near + seen) / 2);
      const again = attempt(tables, verdict, new Map([[key, fs(middle)]]), found.scene.rest, found.scene.seed);
      if (again) [best, seen] = [again, middle];
      else near = middle;
    }
  }
  return best;
}

/** Runs a relaxed corner of the verdict; undefined where its two changes do not come. */
function attempt(
  tables: Tables,
  verdict: Verdict,
  relaxed: Relaxed,
  rest: Rest,
  seed: number,
): RelaxedSighting | undefined {
  const pair = pairOf(tables, verdict, relaxed);
  if (!pair || !verdict.chains) return undefined;
  const scene: Scene = { corner: cornerOf(tables.circuit, verdict.chains, relaxed), rest, seed, busy: true };
  const { simulator, oscillator } = stage(tables, scene);
  const watch = new PairWatch(simulator, [pair]);
  simulator.run(fs(oscillator.start + TRIAL_TICKS * oscillator.period));
  const seen = watch.seen.get(pair);
  if (!seen) return undefined;
  const available = fs(seen.later - seen.earlier + (verdict.allowance ?? 0));
  const [from, to] = [Math.min(seen.earlier, seen.later), Math.max(seen.earlier, seen.later)];
  return { from: fs(from), to: fs(to), available, isWorst: false, scene, relaxed };
}

function fails({ available }: Sighting, { required }: Verdict): boolean {
  return available !== undefined && required !== undefined && available < required;
}
