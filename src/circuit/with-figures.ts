import type { Figures } from "../parts/index.js";
import type { Chip, Circuit, Net, PinRef } from "./circuit.js";

/** The same circuit with other figures for its chips, such as those that the load of their nets makes of them. */
export function withFigures(circuit: Circuit, figuresOf: (chip: Chip) => Figures): Circuit {
  const drivers = circuit.nets.map((): PinRef[] => []);
  const receivers = circuit.nets.map((): PinRef[] => []);
  const nets = circuit.nets.map((net, index): Net => ({
    ...net,
    drivers: drivers[index] ?? [],
    receivers: receivers[index] ?? [],
  }));
  const netOf = (net: Net): Net => {
    const own = nets[net.id];
    if (!own) throw new RangeError(`net ${net.name} is not in the circuit`);
    return own;
  };
  const chips = circuit.chips.map((chip): Chip => ({
    ...chip,
    part: { ...chip.part, figures: figuresOf(chip) },
    nets: new Map([...chip.nets].map(([pin, net]) => [pin, netOf(net)])),
  }));
  const chipOf = new Map(circuit.chips.map((chip, index) => [chip, chips[index] ?? chip]));
  const moved = ({ chip, pin }: PinRef): PinRef => ({ chip: chipOf.get(chip) ?? chip, pin });
  circuit.nets.forEach((net, index) => {
    drivers[index]?.push(...net.drivers.map(moved));
    receivers[index]?.push(...net.receivers.map(moved));
  });
  return { ...circuit, chips, nets };
}
