import type { Circuit, Net } from "../circuit/index.js";
import { type Fs, fs } from "../quantity/index.js";
import { type Simulator, type Tape, compileTables, record } from "../simulation/index.js";
import type { ChainStep, Verdict } from "../timing/index.js";
import { stage } from "./scene.js";
import type { Witness } from "./witness.js";

/** What the nets of a witness did around its moment. */
export interface Replay {
  /** The board as it stands after the moment. */
  readonly simulator: Simulator;
  /** In the order in which the edges go through them. */
  readonly tapes: readonly { readonly net: Net; readonly tape: Tape }[];
  /** What is shown, in femtoseconds from power-up. */
  readonly from: Fs;
  readonly to: Fs;
  readonly period: Fs;
  readonly high: Fs;
}

/** Oscillator periods that are shown before and after the two changes. */
const PERIODS_BEFORE = 1.5;
const PERIODS_AFTER = 1;

/** Runs a witness again and records the nets that its verdict speaks of. */
export function replay(
  circuit: Circuit,
  verdict: Verdict,
  witness: Witness,
  prepare?: (simulator: Simulator, from: Fs, to: Fs) => void,
): Replay {
  const { simulator, oscillator } = stage(compileTables(circuit), witness.scene);
  const { period, high } = oscillator;
  const from = fs(Math.max(0, Math.round(witness.from - PERIODS_BEFORE * period)));
  const to = fs(Math.round(witness.to + PERIODS_AFTER * period));
  const tapes = netsOf(circuit, verdict).map((net) => ({ net, tape: record(simulator, net.id) }));
  prepare?.(simulator, from, to);
  simulator.run(to);
  return { simulator, tapes, from, to, period, high };
}

/** The nets that the two chains go through, and the verdict's own. */
function netsOf(circuit: Circuit, { chains, net, chip, reference }: Verdict): readonly Net[] {
  const steps: readonly ChainStep[] = chains ? [...chains.earlier, ...chains.later] : [];
  const pins = [
    ...steps.map(({ kind, chip: ref, to }) => (kind === "wire" ? to : `${ref} ${to}`)),
    reference.includes(" ") ? reference : `${chip} ${reference}`,
  ];
  const found = pins.flatMap((place) => {
    const [ref, pin = ""] = place.split(" ");
    return circuit.chips.find((one) => one.ref === ref)?.nets.get(pin) ?? [];
  });
  const own = circuit.nets.find(({ name }) => name === net);
  return [...new Set([...found, ...(own ? [own] : [])])].filter(({ rail }) => !rail);
}
