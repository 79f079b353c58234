import type { Tables } from "../simulation/index.js";
import type { ChainStart, ChainStep } from "../timing/index.js";

/** Where a chain of delays arrives: at an input pin (a variable of the simulation's tables), or at an output (a driver). */
export type ChainEnd =
  | { readonly kind: "pin"; readonly variable: number; readonly name: string }
  | { readonly kind: "driver"; readonly driver: number; readonly name: string };

/** Where a chain arrives; undefined where the circuit has no such pin. */
export function chainEnd(tables: Tables, steps: readonly ChainStep[], start: ChainStart): ChainEnd | undefined {
  const last = steps.at(-1);
  if (last?.kind === "wire") {
    const [ref = "", pin = ""] = last.to.split(" ");
    const variable = tables.variables.findIndex(
      ({ chip, name, kind }) => kind === "pin" && chip.ref === ref && name === pin,
    );
    return variable < 0 ? undefined : { kind: "pin", variable, name: last.to };
  }
  const driver = tables.drivers.findIndex(({ chip, pin, net, source }) => {
    if (last?.kind === "arc") return chip?.ref === last.chip && pin === last.to;
    return start.outside === undefined ? source === "clock" : source === "outside" && net.name === start.outside;
  });
  const found = tables.drivers[driver];
  return found ? { kind: "driver", driver, name: `${found.chip?.ref ?? ""} ${found.pin}`.trim() } : undefined;
}
