import { type Code, type DrivenNetwork, cornersOf, middleOf, voltsAt } from "./network-levels.js";
import { ZERO, asNumber } from "./rational.js";

/** The most that one output gives into the resistors on its net: it is high and all others are low. In amperes. */
export function mostAmperesFrom(network: DrivenNetwork, net: string): number {
  const code: Code = new Set([net]);
  const corners = cornersOf(network) ?? [middleOf(network)];
  return Math.max(
    0,
    ...corners.map((corner) => {
      const volts = voltsAt(network, code, corner);
      const at = (name: string) => asNumber(volts.get(name) ?? ZERO);
      const through = network.resistors.map(({ ref, amount, nets: [a, b] }) => {
        const other = a === net ? b : b === net ? a : undefined;
        return other === undefined ? 0 : (at(net) - at(other)) / (amount * (corner.factors.get(ref) ?? 1));
      });
      const load = network.loads.get(net);
      return through.reduce((sum, amperes) => sum + amperes, load === undefined ? 0 : at(net) / load);
    }),
  );
}
