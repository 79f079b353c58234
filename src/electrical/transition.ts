import { sourceLine } from "../parts/index.js";
import {
  type Femtofarads,
  type Fs,
  type Microvolts,
  fs,
  measure,
  microvolts,
  printMeasure,
  timeMeasure,
} from "../quantity/index.js";
import { sourced } from "./net-load.js";
import type { NetDriver } from "./net-pins.js";
import type { ReckoningLine } from "./verdict.js";

/** 10 to 90 % of an exponential: ln 9 time constants. */
const TEN_TO_NINETY = Math.log(9);

/** How long an output's edge takes from 10 to 90 % of the swing, and how that is known. */
export interface EdgeTime {
  readonly time: Fs;
  /** Over which it goes: 80 % of the supply. */
  readonly swing: Microvolts;
  readonly lines: readonly ReckoningLine[];
}

/**
 * The edge of an output at a load: printed where the sheet prints transition times (74HC, 74HCT, some cans); of other CMOS
 * outputs 2.2 times their resistance at the rated current times the load, which is longer than the true edge, as the output
 * gives more than its rated current at first. Undefined for bipolar outputs and those of memories, of whose edges no sheet
 * on record says anything.
 */
export function edgeTime({ figures, supply, label, part }: NetDriver, load: Femtofarads): EdgeTime | undefined {
  const { transition, high, low, followsSupply } = figures;
  if (transition) {
    const beyond = Math.max(0, load - transition.load);
    const time = fs(Math.round(transition.time + beyond * transition.perFemtofarad));
    const printed: ReckoningLine = {
      text: `edge of ${label} (${part}), 10 to 90 %, at ${printMeasure(measure("capacitance", transition.load))}`,
      figure: timeMeasure(transition.time),
      ...sourced(transition.source),
    };
    const grown: ReckoningLine = {
      text: `at ${printMeasure(measure("capacitance", load))}`,
      figure: timeMeasure(time),
      working: `+ ${(beyond / 1e3).toFixed(1)} pF × ${(transition.perFemtofarad / 1e3).toFixed(3)} ns/pF`,
      ...sourced(transition.slopeSource),
    };
    const swing = Math.round(0.8 * transition.supply) as Microvolts;
    return { time, swing, lines: beyond > 0 && transition.perFemtofarad > 0 ? [printed, grown] : [printed] };
  }
  if (!followsSupply) return undefined;
  const at = microvolts(supply.volts.min);
  const drops = [
    ...high.map((point) => ({ ...point, drop: point.supply - point.level })),
    ...low.map((point) => ({ ...point, drop: point.level as number })),
  ].filter((point) => point.supply <= at);
  const rated = Math.max(0, ...drops.map(({ current }) => current));
  const [worst] = drops.filter(({ current }) => current === rated).sort((a, b) => b.drop - a.drop);
  if (!worst || rated === 0) return undefined;
  // Microvolts over nanoamperes are kilohms; kilohms times femtofarads are picoseconds.
  const kilohms = worst.drop / worst.current;
  const time = fs(Math.round(1e3 * TEN_TO_NINETY * kilohms * load));
  const ohms = measure("resistance", kilohms * 1e6);
  return {
    time,
    swing: Math.round(0.8 * at) as Microvolts,
    lines: [
      {
        text: `resistance of ${label} (${part})`,
        figure: ohms,
        working: `${printMeasure(measure("voltage", worst.drop))} ÷ ${printMeasure(measure("current", worst.current))}`,
        source: sourceLine(figures.highSource),
      },
      {
        text: "edge, 10 to 90 %",
        figure: timeMeasure(time),
        working: `2.2 × ${printMeasure(ohms)} × ${printMeasure(measure("capacitance", load))}`,
      },
    ],
  };
}
