import {
  type Fault,
  type Look,
  type Observation,
  type Suspicion,
  fits,
  looksLike,
  observationOf,
} from "../../src/bench/index.js";
import { screensOf } from "../../src/bench/diagnose/gallery.js";
import type { Signature } from "../../src/bench/index.js";

/** How a search for one fault went. */
export interface Search {
  readonly fault: Fault;
  /** Probes that it took until the fault was the likeliest suspect; all that were allowed where it never was. */
  readonly probes: number;
  /** Place among the suspects at the end, from 0. */
  readonly rank: number;
}

/**
 * Whether a fault in one of its ways shows on a net in use, beyond the very pins that it takes from their nets. What does
 * not is found by looking at each pin in turn and in no other way: an open input that happens to stand right, a gate that
 * nobody uses.
 */
export function disturbs(suspicion: Suspicion, fault: number, way: 0 | 1): boolean {
  return suspicion.pins.some(({ id, node }) => {
    if (!suspicion.isInUse(node) || suspicion.isMoved(fault, id)) return false;
    return !fits(observationOf(id, suspicion.readingsAt(fault, id)[way]), suspicion.usualAt(id)[way]);
  });
}

export interface SearchOptions {
  /** In which of its ways the fault shows. */
  readonly way: 0 | 1;
  readonly most: number;
  readonly order: "best" | "wiring";
  /** From 0 to 1: what the counter is off by. */
  readonly noise: () => number;
  /** Next pins by what was measured so far: the same for all faults that went alike until then. */
  readonly known: Map<string, number | undefined>;
  /** How the screen looks with the fault: what is seen before anything is measured. */
  readonly look?: Look;
}

/** The look that a fault in one of its ways gives the screen. */
export function lookOf(looks: readonly Look[], signature: Signature | undefined, way: 0 | 1): Look | undefined {
  const screen = screensOf(signature)[way];
  return screen && looks.find((look) => looksLike(look.screen, screen));
}

/** Looks for a fault by measuring where the tool says, or at the pins in the order of the wiring. */
export function search(
  suspicion: Suspicion,
  faults: readonly Fault[],
  index: number,
  { way, most, order, noise, known, look }: SearchOptions,
): Search | undefined {
  const fault = faults[index];
  if (!fault) return undefined;
  const measured = new Set<number>();
  let weights = look ? suspicion.seeing(look.screen) : suspicion.priors();
  const said: string[] = [`look ${look?.number}`];
  let probes = most;
  for (let probe = 1; probe <= most; probe++) {
    const key = said.join();
    if (order === "best" && !known.has(key)) known.set(key, suspicion.next(weights, measured)?.pin.id);
    const pin = order === "best" ? known.get(key) : suspicion.pins[probe - 1]?.id;
    if (pin === undefined) break;
    measured.add(pin);
    said.push(JSON.stringify(observationOf(pin, suspicion.readingsAt(index, pin)[way])));
    const seen = observationOf(pin, suspicion.readingsAt(index, pin)[way]);
    const observation: Observation =
      seen.kind === "frequency" ? { ...seen, hertz: seen.hertz * (1 + 0.005 * (noise() - 0.5)) } : seen;
    weights = suspicion.weigh([observation], weights);
    if (suspicion.rankOf(weights, index) > 0) probes = most;
    else probes = Math.min(probes, probe);
  }
  return { fault, probes, rank: suspicion.rankOf(weights, index) };
}
