import type { Circuit, Net, PinRef } from "../circuit/index.js";
import {
  type CurrentPoint,
  type Missing,
  type OutputFigures,
  type Source,
  isMissing,
  levelsOf,
} from "../parts/index.js";
import type { Range } from "../quantity/index.js";

/** How an output stands at one level: so many volts from its rail without load, and behind so many ohms. */
export interface Stand {
  readonly volts: number;
  readonly ohms: number;
}

/** An output as a resistive load sees it, between the weakest that its sheet allows and one without any drop. */
export interface OutputDrive {
  readonly pin: PinRef;
  /** Of the chip, in volts. */
  readonly supply: Range;
  /** Below the supply. */
  readonly high: { readonly weak: Stand; readonly strong: Stand };
  /** Above ground. */
  readonly low: { readonly weak: Stand; readonly strong: Stand };
  /** Amperes up to which the sheet promises its high level. */
  readonly promised: number;
  /** Whether the drop may be carried on in a straight line beyond that: a transistor that is fully on is a resistor. */
  readonly isOhmic: boolean;
  readonly highSource: Source;
  readonly lowSource: Source;
}

/**
 * Volts that a bipolar totem pole drops at the very least: two junctions, less what they lose when hot. Common practice; no
 * sheet states a least drop.
 */
const LEAST_BIPOLAR_DROP = 1;

/** How the outputs on a net drive it, as their data sheets have it. Undefined for a net that no chip drives. */
export function driveOf(net: Net, { ambientCelsius }: Circuit): OutputDrive | Missing | undefined {
  const [pin] = net.drivers;
  if (!pin) return undefined;
  const { part, supply } = pin.chip;
  const levels = levelsOf(part, { supplyVolts: supply.volts, ambientCelsius });
  const figures = levels?.output(pin.pin) ?? { missing: `${part.number} ${pin.pin} levels` };
  return isMissing(figures) ? figures : driveFrom(figures, pin, supply.volts);
}

function driveFrom(figures: OutputFigures, pin: PinRef, supply: Range): OutputDrive {
  const isOhmic = figures.technology === "CMOS";
  const high = atSupply(figures.high, supply.min).map(({ current, supply: at, level }) => ({
    amperes: current / 1e9,
    drop: (at - level) / 1e6,
  }));
  const low = atSupply(figures.low, supply.min).map(({ current, level }) => ({
    amperes: current / 1e9,
    drop: level / 1e6,
  }));
  return {
    pin,
    supply,
    high: {
      weak: isOhmic ? throughNothing(high) : throughBoth(high),
      strong: { volts: isOhmic ? 0 : LEAST_BIPOLAR_DROP, ohms: 0 },
    },
    low: { weak: throughNothing(low), strong: { volts: 0, ohms: 0 } },
    promised: Math.max(0, ...high.map(({ amperes }) => amperes)),
    isOhmic,
    highSource: figures.highSource,
    lowSource: figures.lowSource,
  };
}

/** The points at the highest printed supply that the circuit's never falls below, else at the lowest. */
function atSupply(points: readonly CurrentPoint[], leastVolts: number): readonly CurrentPoint[] {
  const supplies = [...new Set(points.map(({ supply }) => supply))].sort((a, b) => a - b);
  const chosen = supplies.filter((supply) => supply <= leastVolts * 1e6 + 0.5).at(-1) ?? supplies[0];
  return points.filter(({ supply }) => supply === chosen).sort((a, b) => a.current - b.current);
}

interface Drop {
  readonly amperes: number;
  readonly drop: number;
}

/**
 * A resistance that drops at the greatest current what the sheet allows. A transistor drops nothing without current and
 * ever more for each further milliampere, so that below that current it drops no more than this. The 0.1 V that sheets allow
 * at 20 or 50 µA is a limit of the tester, not of the transistor.
 */
function throughNothing(points: readonly Drop[]): Stand {
  const last = points.at(-1);
  return { volts: 0, ohms: last && last.amperes > 0 ? last.drop / last.amperes : 0 };
}

/** The straight line through the points of least and greatest current: a totem pole drops two junctions first. */
function throughBoth(points: readonly Drop[]): Stand {
  const [first, last] = [points[0], points.at(-1)];
  if (!first || !last) return { volts: 0, ohms: 0 };
  if (first.amperes === last.amperes) return { volts: last.drop, ohms: 0 };
  const ohms = Math.max(0, (last.drop - first.drop) / (last.amperes - first.amperes));
  return { volts: Math.max(0, first.drop - ohms * first.amperes), ohms };
}
