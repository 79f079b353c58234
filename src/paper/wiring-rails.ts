import type { Chip, Circuit } from "../circuit/index.js";
import { decoupling, type SupplyCapacitor } from "../electrical/index.js";
import { groundRail, pinTerminal, railOfNet, supplyRail } from "./terminal.js";
import { unusedInputs } from "./unused-inputs.js";
import { chipHeading, type Link, type LinkBlock } from "./wiring-chain.js";

/** The supply's way in, then every chip's supply pins and the capacitor across them. */
export function railBlocks(circuit: Circuit): LinkBlock[] {
  const { atChip, bulk } = decoupling(circuit);
  const [main] = circuit.supplies;
  const entry = bulk.map((capacitor): Link => ({
    net: "high",
    from: main ? supplyRail(circuit, main) : groundRail,
    to: groundRail,
    part: named(capacitor),
  }));
  const chips = circuit.chips.map((chip) => {
    const pins = supplyPins(chip);
    const rail = { supply: supplyRail(circuit, chip.supply), ground: groundRail };
    const links = pins.map(({ role, to }): Link => ({ net: role === "supply" ? "high" : "low", from: rail[role], to }));
    const top = pins.find(({ role }) => role === "supply")?.to;
    const bottom = pins.find(({ role }) => role === "ground")?.to;
    const capacitor = atChip.get(chip.ref);
    if (top && bottom && capacitor) links.push({ net: "high", from: top, to: bottom, part: named(capacitor) });
    return { heading: chipHeading(chip), links };
  });
  return [{ heading: "Where the supply comes in", links: entry }, ...chips];
}

function named({ ref, value }: SupplyCapacitor): string {
  return ref === undefined ? value : `${ref}, ${value}`;
}

/** Every package pin that goes to a rail; a name may stand on several pins. */
function supplyPins(chip: Chip): { role: "supply" | "ground"; to: Link["to"] }[] {
  const roles = new Map(chip.part.behaviour.pins.map(({ name, role }) => [name, role]));
  const pins = chip.part.package.pins.flatMap(({ number, name }) => {
    const role = roles.get(name);
    if (role !== "supply" && role !== "ground") return [];
    return [{ role, to: { kind: "pin" as const, chip: chip.ref, number, pin: name } }];
  });
  return [...pins.filter(({ role }) => role === "supply"), ...pins.filter(({ role }) => role === "ground")];
}

/** Per chip, the signal pins that go straight to a rail: `unused` ones, on which nothing depends, or all the others. */
export function heldBlocks(circuit: Circuit, which: "used" | "unused"): LinkBlock[] {
  return circuit.chips.map((chip) => {
    const unused = unusedInputs(chip);
    const links = [...chip.nets].flatMap(([pin, net]): Link[] => {
      const rail = railOfNet(circuit, net);
      if (!rail || unused.has(pin) !== (which === "unused")) return [];
      return [{ net: net.name, from: rail, to: pinTerminal({ chip, pin }) }];
    });
    return { heading: chipHeading(chip), links };
  });
}
