import type { Passive } from "../circuit/index.js";
import { type Microvolts, type Nanoamps, microvolts } from "../quantity/index.js";
import { USUAL_TOLERANCE } from "./net-load.js";
import type { NetDriver, NetPins } from "./net-pins.js";

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
