import { functionsOf, isMissing, standardOutputOf } from "../parts/index.js";
import { type Microvolts, microvolts, printMeasure, measure, printOhms } from "../quantity/index.js";
import { USUAL_TOLERANCE, dcLoad } from "./net-load.js";
import type { NetDriver, NetPins, NetReceiver } from "./net-pins.js";
import { highLevelAt, lowLevelAt, mostCurrent } from "./output-level.js";

/** Families whose inputs ask for TTL levels and that run from 5 V, the slowest first: it disturbs the least. */
const TTL_INPUTS = ["HCT", "AHCT", "ACT"];
/** What their inputs ask for, in volts. */
const TTL_HIGH = microvolts(2);

/** Usual pull-up resistors in ohms, the best first. */
const PULL_UPS = [4700, 2200, 10_000, 1000, 470];

/** What helps where a level is not reached, best first. */
export function levelRemedies(
  level: "high" | "low",
  pins: NetPins,
  driver: NetDriver,
  receiver: NetReceiver,
  wanted: Microvolts,
): readonly string[] {
  if (driver.part === "rail") return [ownRail(receiver)];
  const supply = microvolts(driver.supply.volts.min);
  const load = dcLoad(pins, driver, level);
  const given =
    level === "high"
      ? highLevelAt(driver.figures, supply, load.current)
      : lowLevelAt(driver.figures, supply, load.current);
  if (given === undefined) return overloadRemedies(level, pins, driver);
  if (level === "low")
    return [`a 74HC or 74HCT gate between ${driver.label} and ${receiver.label}: its low level is lower`];
  return [
    ...ttlInput(receiver, given),
    ...pullUp(pins, driver, wanted),
    ...cmosDriver(driver, receiver, wanted),
    ...between(driver, receiver, given),
  ];
}

/** What helps an input that is tied to the rail of another supply. */
export function ownRail({ label, supply, chip }: NetReceiver): string {
  return `${label} on the rail of ${supply.name}, the supply of ${chip.ref}`;
}

/** What helps where a driver is asked for more current than it guarantees a level at. */
export function overloadRemedies(level: "high" | "low", { net, pulls }: NetPins, driver: NetDriver): readonly string[] {
  const draws = pulls.filter(({ to }) => to !== level).map(({ passive: { ref } }) => ref);
  return [
    ...(draws.length > 0 ? [`a larger resistor for ${draws.join(", ")}`] : []),
    `a buffer, so that ${driver.label} drives fewer of the inputs on ${net.name}`,
  ];
}

/** The same function with inputs for TTL levels. */
function ttlInput({ chip, supply }: NetReceiver, given: Microvolts): readonly string[] {
  const { family, behaviour, number } = chip.part;
  if (given < TTL_HIGH || supply.volts.min < 4.5 || TTL_INPUTS.includes(family)) return [];
  const twins = TTL_INPUTS.filter((other) => functionsOf(other).includes(behaviour.function)).slice(0, 2);
  if (twins.length === 0 || !number.includes(behaviour.function)) return [];
  const names = twins.map((other) => `74${other}${behaviour.function}`).join(" or ");
  return [
    `${names} in place of ${chip.ref} (${number}): its inputs ask for ${printMeasure(measure("voltage", TTL_HIGH))} only`,
  ];
}

/** A resistor to the driver's supply that lifts its high level and that its low level can bear. */
function pullUp(pins: NetPins, driver: NetDriver, wanted: Microvolts): readonly string[] {
  if (driver.figures.followsSupply || driver.label === "outside" || wanted > microvolts(driver.supply.volts.min))
    return [];
  const { min, max } = driver.supply.volts;
  const leak = dcLoad(pins, driver, "high").current;
  const sunk = mostCurrent(driver.figures.low, microvolts(min)) - dcLoad(pins, driver, "low").current;
  // Volts over nanoamperes, then microvolts over nanoamperes, both to ohms.
  const least = sunk > 0 ? (1e9 * max) / sunk / (1 - USUAL_TOLERANCE) : Infinity;
  const most = (1e3 * (microvolts(min) - wanted)) / leak / (1 + USUAL_TOLERANCE);
  const fitting = PULL_UPS.find((ohms) => least <= ohms && ohms <= most);
  if (fitting === undefined) return [];
  return [
    `a pull-up of ${printOhms(fitting)} from ${pins.net.name} to ${driver.supply.name === "main" ? "high" : driver.supply.name}; ` +
      "the net then rises slowly above the output's own level, which the proof adds to the delay",
  ];
}

/** The same function from a family whose outputs reach their supply. */
function cmosDriver(
  { chip, supply, figures }: NetDriver,
  receiver: NetReceiver,
  wanted: Microvolts,
): readonly string[] {
  if (!chip || figures.followsSupply || supply !== receiver.supply) return [];
  const { behaviour, number } = chip.part;
  const twin = ["HCT", "AHCT", "ACT"].find((family) => {
    const output = standardOutputOf(family, { min: 25, max: 25 });
    if (!output || isMissing(output) || !functionsOf(family).includes(behaviour.function)) return false;
    return (output.high[0]?.level ?? 0) >= wanted;
  });
  if (twin === undefined || !number.startsWith("74")) return [];
  return [`74${twin}${behaviour.function} in place of ${chip.ref} (${number}): its outputs reach the supply`];
}

function between(driver: NetDriver, receiver: NetReceiver, given: Microvolts): readonly string[] {
  if (given < TTL_HIGH || receiver.supply.volts.min < 4.5) {
    return [`a level shifter between ${driver.label} and ${receiver.label}`];
  }
  return [`a 74HCT or 74AHCT gate between ${driver.label} and ${receiver.label}`];
}
