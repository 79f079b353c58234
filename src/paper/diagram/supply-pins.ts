import type { Circuit } from "../../circuit/index.js";
import { groundRail, supplyRail } from "../terminal.js";

/** Package pins of a chip that stand in no symbol, because they carry no signal. */
export interface SupplyPins {
  readonly chip: string;
  readonly part: string;
  readonly pins: readonly {
    readonly number: number;
    readonly name: string;
    /** `+5 V rail`, `0 V rail`, or `not connected`. */
    readonly net: string;
  }[];
}

/** Supply, ground and unconnected pins of every chip, in file order. */
export function supplyPins(circuit: Circuit): SupplyPins[] {
  return circuit.chips.map((chip) => {
    const roles = new Map(chip.part.behaviour.pins.map(({ name, role }) => [name, role]));
    return {
      chip: chip.ref,
      part: chip.part.number,
      pins: chip.part.package.pins.flatMap(({ number, name }) => {
        const role = roles.get(name);
        if (role === "supply") return [{ number, name, net: supplyRail(circuit, chip.supply).name }];
        if (role === "ground") return [{ number, name, net: groundRail.name }];
        return role === "unconnected" || role === undefined ? [{ number, name, net: "not connected" }] : [];
      }),
    };
  });
}
