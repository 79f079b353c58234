import type { Passive } from "../circuit/index.js";
import { type Microvolts, type Nanoamps, microvolts } from "../quantity/index.js";
import { USUAL_TOLERANCE } from "./net-load.js";
import type { NetDriver, NetPins } from "./net-pins.js";
import { highLevelAt } from "./output-level.js";

/**
 * The high level to which a pull-up lifts a net whose driver's own high level lies below its supply, as that of a bipolar or
 * NMOS output does: the rail less what the leakage of the pins drops across the resistor. Undefined where there is none, or
 * where the driver is on another supply than the resistor, so that the net would feed current back into it.
 */
export function pulledHigh(
  { pulls }: Pick<NetPins, "pulls">,
  driver: NetDriver,
  supply: Microvolts,
  current: Nanoamps,
): { readonly level: Microvolts; readonly passive: Passive; readonly tolerance: number } | undefined {
  if (driver.figures.followsSupply) return undefined;
  const [best] = pulls
    .filter((pull) => pull.to === "high" && pull.supply === driver.supply)
    .map(({ passive }) => {
      const { amount, tolerance = USUAL_TOLERANCE } = passive;
      // Nanoamperes times ohms are nanovolts.
      const drop = (current * amount * (1 + tolerance)) / 1e9;
      return { passive, tolerance, level: (supply - microvolts(drop)) as Microvolts };
    })
    .sort((a, b) => b.level - a.level);
  return best;
}

/**
 * The supply at which a pull-up begins to lift the net above the driver's own level, where it lies inside the range. Below it
 * the level stays behind the rising threshold, above it the level gains on it, so the margin is least just there.
 */
export function liftingSupply(
  pins: Pick<NetPins, "pulls">,
  driver: NetDriver,
  current: Nanoamps,
  range: { readonly min: Microvolts; readonly max: Microvolts },
): Microvolts | undefined {
  const lifts = (supply: Microvolts) => {
    const lifted = pulledHigh(pins, driver, supply, current);
    return lifted !== undefined && lifted.level > (highLevelAt(driver.figures, supply, current) ?? 0);
  };
  if (lifts(range.min) || !lifts(range.max)) return undefined;
  let [low, high]: [number, number] = [range.min, range.max];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (lifts(middle as Microvolts)) high = middle;
    else low = middle;
  }
  return low as Microvolts;
}
