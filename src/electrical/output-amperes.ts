import { type DrivenNetwork, voltsAt, toleranceOfPart } from "./network-levels.js";
import { ZERO, asNumber } from "./rational.js";

/**
 * The most that one output gives into the resistors on its net, in amperes: it is high without any drop, at the highest
 * supply, and all else is at 0 V. What a network takes from one source alone grows with each of its conductances (Rayleigh),
 * so it is most with every resistor at its least and every other output without resistance.
 */
export function mostAmperesFrom(network: DrivenNetwork, net: string): number {
  const drive = network.drives.get(net);
  if (!drive) return 0;
  const factors = new Map(network.resistors.map((part) => [part.ref, 1 - toleranceOfPart(part)]));
  const corner = {
    supply: drive.supply.max,
    factors,
    weakness: new Map([...network.drives.keys()].map((name) => [name, 0])),
  };
  const rails = new Map([...network.rails.keys()].map((name) => [name, "low" as const]));
  const volts = voltsAt({ ...network, rails }, new Set([net]), corner);
  const at = (name: string) => asNumber(volts.get(name) ?? ZERO);
  const through = network.resistors.map(({ ref, amount, nets: [a, b] }) => {
    const other = a === net ? b : b === net ? a : undefined;
    return other === undefined ? 0 : (at(net) - at(other)) / (amount * (factors.get(ref) ?? 1));
  });
  const load = network.loads.get(net);
  return through.reduce((sum, amperes) => sum + amperes, load === undefined ? 0 : at(net) / load);
}
