import type { Passive } from "../circuit/index.js";
import type { Range } from "../quantity/index.js";
import { type Branch, nodeVolts } from "./nodal-analysis.js";
import type { OutputDrive, Stand } from "./output-drive.js";
import { seriesWith } from "./preferred-values.js";
import { type Rational, ZERO, asNumber, exactly } from "./rational.js";

/** A resistor network between outputs and the cables to a monitor. */
export interface DrivenNetwork {
  readonly resistors: readonly Passive[];
  /** By the net that it drives. */
  readonly drives: ReadonlyMap<string, OutputDrive>;
  /** Nets that stand at a level: `high` at the supply, `low` at 0 V. */
  readonly rails: ReadonlyMap<string, "high" | "low">;
  /** What each cable is ended with, in ohms, by its net. */
  readonly loads: ReadonlyMap<string, number>;
}

/** Which of the outputs are high. */
export type Code = ReadonlySet<string>;

/** One corner: the supply, and which way each resistor and each output is off. */
export interface Corner {
  /** Volts. */
  readonly supply: number;
  /** Factor of each resistor by its name; 1 where absent. */
  readonly factors: ReadonlyMap<string, number>;
  /** 1 for an output at its weakest, 0 for one without any drop, between for between; by its net. */
  readonly weakness: ReadonlyMap<string, number>;
}

/** More corners than this are not gone through: twelve things that may each be off either way. */
const MOST_UNKNOWNS = 12;

/** How far a resistor may be off where the file does not say. Common practice: 5 %, but 1 % for values that only E96 has. */
export function toleranceOfPart({ tolerance, amount }: Passive): number {
  return tolerance ?? (seriesWith(amount) === "E96" ? 0.01 : 0.05);
}

/** The voltages of all nets of the network for a code at a corner, exactly. */
export function voltsAt(network: DrivenNetwork, code: Code, corner: Corner): ReadonlyMap<string, Rational> {
  const branches: Branch[] = network.resistors.map(({ ref, amount, nets }) => ({
    between: nets,
    ohms: exactly(Number((amount * (corner.factors.get(ref) ?? 1)).toFixed(3))),
  }));
  const given = new Map<string, Rational>([["ground", ZERO]]);
  for (const [net, rail] of network.rails) given.set(net, rail === "high" ? exactly(corner.supply) : ZERO);
  for (const [net, ohms] of network.loads) branches.push({ between: [net, "ground"], ohms: exactly(ohms) });
  for (const [net, drive] of network.drives) {
    const isHigh = code.has(net);
    const stand = between(isHigh ? drive.high : drive.low, corner.weakness.get(net) ?? 0.5);
    const volts = exactly(isHigh ? corner.supply - stand.volts : stand.volts);
    if (stand.ohms === 0) given.set(net, volts);
    else {
      given.set(`behind ${net}`, volts);
      branches.push({ between: [`behind ${net}`, net], ohms: exactly(stand.ohms) });
    }
  }
  return nodeVolts({ branches, given });
}

/** Everything at its middle: the supply, the resistors as marked, the outputs half as weak as their sheets allow. */
export function middleOf({ drives }: DrivenNetwork): Corner {
  const { min, max } = supplyOf(drives);
  return { supply: (min + max) / 2, factors: new Map(), weakness: new Map() };
}

/**
 * Every corner at which supply, resistors and outputs are off either way. A voltage rises or falls with each of them alone
 * throughout, whatever the others are (it is a quotient of two expressions that are straight in each), so that its extremes
 * are among the corners. Undefined where there are too many.
 */
export function cornersOf({ drives, resistors }: DrivenNetwork): readonly Corner[] | undefined {
  const outputs = [...drives.keys()];
  const { min, max } = supplyOf(drives);
  const isOne = min === max;
  const unknowns = resistors.length + outputs.length + (isOne ? 0 : 1);
  if (unknowns > MOST_UNKNOWNS) return undefined;
  return Array.from({ length: 2 ** unknowns }, (_, bits): Corner => {
    const isSet = (at: number) => ((bits >> at) & 1) === 1;
    return {
      supply: isSet(resistors.length + outputs.length) ? max : min,
      factors: new Map(resistors.map((part, at) => [part.ref, 1 + (isSet(at) ? 1 : -1) * toleranceOfPart(part)])),
      weakness: new Map(outputs.map((net, at) => [net, isSet(resistors.length + at) ? 1 : 0])),
    };
  });
}

/** A voltage in the middle, and between its corners. In volts. */
export interface LevelSpan extends Range {
  readonly middle: number;
}

/** The level of one cable for a code, in the middle and at each corner. */
export interface Level {
  readonly middle: number;
  readonly atCorners: readonly number[];
}

export function levelOf(network: DrivenNetwork, cable: string, code: Code, corners: readonly Corner[]): Level {
  const at = (corner: Corner) => asNumber(voltsAt(network, code, corner).get(cable) ?? ZERO);
  return { middle: at(middleOf(network)), atCorners: corners.map(at) };
}

/** From one level to another, corner by corner, or of one level alone: what moves both does not count. */
export function spanOf(to: Level, from?: Level): LevelSpan {
  const differences = to.atCorners.map((volts, at) => volts - (from?.atCorners[at] ?? 0));
  return { middle: to.middle - (from?.middle ?? 0), min: Math.min(...differences), max: Math.max(...differences) };
}

function supplyOf(drives: ReadonlyMap<string, OutputDrive>): Range {
  const [first] = drives.values();
  return first?.supply ?? { min: 0, max: 0 };
}

function between({ weak, strong }: { readonly weak: Stand; readonly strong: Stand }, weakness: number): Stand {
  // To the milliohm and the microvolt: no sheet tells more, and short fractions are quick to reckon with.
  const mean = (a: number, b: number) => Number((a + (b - a) * weakness).toFixed(6));
  return { volts: mean(strong.volts, weak.volts), ohms: Number(mean(strong.ohms, weak.ohms).toFixed(3)) };
}
