import type { Chip, Circuit } from "../circuit/circuit.js";
import { decoupling, type SupplyCapacitor } from "./decoupling.js";
import { pinTerminal } from "./terminal.js";
import { unusedInputs } from "./unused-inputs.js";
import { chipHeading, type Link, type LinkBlock } from "./wiring-chain.js";

/** The supply's way in, then every chip's supply pins and the capacitor across them. */
export function railBlocks(circuit: Circuit): LinkBlock[] {
  const { atChip, bulk } = decoupling(circuit);
  const netOf = (rail: "high" | "low") => circuit.nets.find((net) => net.rail === rail)?.name ?? rail;
  const entry = bulk.map((capacitor): Link => ({
    net: netOf("high"),
    from: { kind: "rail", rail: "high" },
    to: { kind: "rail", rail: "low" },
    part: named(capacitor),
  }));
  const chips = circuit.chips.map((chip) => {
    const pins = supplyPins(chip);
    const links = pins.map(({ rail, to }): Link => ({ net: netOf(rail), from: { kind: "rail", rail }, to }));
    const top = pins.find(({ rail }) => rail === "high")?.to;
    const bottom = pins.find(({ rail }) => rail === "low")?.to;
    const capacitor = atChip.get(chip.ref);
    if (top && bottom && capacitor) links.push({ net: netOf("high"), from: top, to: bottom, part: named(capacitor) });
    return { heading: chipHeading(chip), links };
  });
  return [{ heading: "Where the supply comes in", links: entry }, ...chips];
}

function named({ ref, value }: SupplyCapacitor): string {
  return ref === undefined ? value : `${ref}, ${value}`;
}

/** Every package pin that goes to a rail; a name may stand on several pins. */
function supplyPins(chip: Chip): { rail: "high" | "low"; to: Link["to"] }[] {
  const roles = new Map(chip.part.behaviour.pins.map(({ name, role }) => [name, role]));
  return chip.part.package.pins.flatMap(({ number, name }) => {
    const role = roles.get(name);
    if (role !== "supply" && role !== "ground") return [];
    return [{ rail: role === "supply" ? "high" : "low", to: { kind: "pin", chip: chip.ref, number, pin: name } }];
  });
}

/** Per chip, the signal pins that go straight to a rail: `unused` ones, on which nothing depends, or all the others. */
export function heldBlocks(circuit: Circuit, which: "used" | "unused"): LinkBlock[] {
  return circuit.chips.map((chip) => {
    const unused = unusedInputs(chip);
    const links = [...chip.nets].flatMap(([pin, { name, rail }]): Link[] =>
      rail === undefined || unused.has(pin) !== (which === "unused")
        ? []
        : [{ net: name, from: { kind: "rail", rail }, to: pinTerminal({ chip, pin }) }],
    );
    return { heading: chipHeading(chip), links };
  });
}
