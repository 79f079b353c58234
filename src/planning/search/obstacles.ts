import { inHertz } from "../../raster/index.js";
import type { Plan } from "./plan.js";
import { searchPlans } from "./search.js";
import type { Wishes } from "./wishes.js";

/** Wishes that stand in the way of any plan, and the nearest plan without them. */
export interface StandsInTheWay {
  /** One wish, or several of which none alone makes room. */
  readonly wishes: readonly WishName[];
  /** The nearest plan that meets all other wishes. */
  readonly nearest: Plan;
}

export type WishName = Exclude<
  keyof Wishes,
  "composite" | "processor" | "characterRom" | "build" | "supplyVolts" | "ambientCelsius"
>;

interface Way {
  readonly name: WishName;
  /** How far a plan is from the wish; 0 where it is met. */
  readonly distance: (plan: Plan, wishes: Wishes) => number;
}

/** A plan without this many per cent of deviation is no longer one of the raster's. */
const WIDEST_DEVIATION = 5;

/** In the order in which a builder would rather give in. */
const WAYS: readonly Way[] = [
  { name: "marginNs", distance: ({ figures }, { marginNs = 0 }) => marginNs - figures.marginNs },
  { name: "chips", distance: ({ figures }, { chips = 0 }) => figures.chips - chips },
  { name: "memoryLeft", distance: ({ figures }, { memoryLeft = 0 }) => memoryLeft - figures.memoryLeft },
  {
    name: "bytesPerSecond",
    distance: ({ figures }, { bytesPerSecond = 0 }) => bytesPerSecond - figures.bytesPerSecond,
  },
  { name: "longestWaitNs", distance: ({ figures }, { longestWaitNs = 0 }) => figures.longestWaitNs - longestWaitNs },
  { name: "deviationPercent", distance: ({ figures }) => figures.deviationPercent },
  { name: "memories", distance: ({ figures }) => figures.chips },
  { name: "oscillators", distance: oscillatorDistance },
  { name: "families", distance: ({ figures }) => figures.chips },
  { name: "sharing", distance: ({ figures }) => figures.chips },
  { name: "lines", distance: ({ figures }) => figures.deviationPercent },
  { name: "rasters", distance: ({ figures }) => figures.deviationPercent },
  { name: "monitor", distance: ({ figures }) => figures.deviationPercent },
  {
    name: "bitsPerDot",
    distance: ({ figures }, { bitsPerDot = [] }) => Math.abs(Math.log2(figures.colours) - (bitsPerDot[0] ?? 1)),
  },
  { name: "shows", distance: pictureDistance },
];

/** What stands in the way of wishes that no plan meets: single wishes, else pairs of them. */
export function findObstacles(wishes: Wishes): readonly StandsInTheWay[] {
  const given = WAYS.filter(({ name }) => wishes[name] !== undefined);
  const single = given.flatMap((way) => without([way], wishes));
  if (single.length > 0) return single;
  for (const [index, one] of given.entries()) {
    for (const other of given.slice(index + 1)) {
      const found = without([one, other], wishes);
      if (found.length > 0) return found;
    }
  }
  return [];
}

function without(ways: readonly Way[], wishes: Wishes): readonly StandsInTheWay[] {
  const left: Partial<Record<WishName, unknown>> = { ...wishes };
  for (const { name } of ways) {
    if (name === "deviationPercent") left[name] = WIDEST_DEVIATION;
    else delete left[name];
  }
  const { front } = searchPlans(left as Wishes);
  const far = (plan: Plan) => ways.reduce((sum, way) => sum + Math.max(0, way.distance(plan, wishes)), 0);
  const [first, ...rest] = front;
  if (!first) return [];
  const nearest = rest.reduce((near, plan) => (far(plan) < far(near) ? plan : near), first);
  return [{ wishes: ways.map(({ name }) => name), nearest }];
}

function oscillatorDistance({ oscillator }: Plan, { oscillators = [] }: Wishes): number {
  return Math.min(...oscillators.map((had) => Math.abs(Math.log(inHertz(oscillator) / inHertz(had)))), Infinity);
}

function pictureDistance({ columns, rows }: Plan, { shows }: Wishes): number {
  if (!shows) return 0;
  const isText = shows.kind === "text";
  const width = isText ? shows.characters * shows.characterDots : shows.width;
  const height = isText ? shows.lines * (shows.characterRows ?? 8) : shows.height;
  return Math.abs(Math.log(columns / width)) + Math.abs(Math.log(rows / height));
}
