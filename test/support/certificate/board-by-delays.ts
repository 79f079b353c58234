import { type Chip, type Circuit } from "../../../src/circuit/index.js";
import { type Fs, fs } from "../../../src/quantity/index.js";
import { Simulator, arcKey, chooseDelays, compileTables, wireKey } from "../../../src/simulation/index.js";
import type { BoardDelay } from "../../../src/timing/index.js";
import { boardChoice } from "../waves-run.js";

/** Times in femtoseconds at which two pins of a chip change, the second one's rises only. */
export interface PinTimes {
  readonly changes: readonly number[];
  readonly rises: readonly number[];
}

/** Simulates a board with these delays, all others typical, and tells when a chip's pins D and CLK change. */
export function pinTimes(circuit: Circuit, delays: readonly BoardDelay[], chip: string, ticks: number): PinTimes {
  const tables = compileTables(circuit);
  const { choice, oscillator } = boardChoice(circuit, tables, 1, "typical");
  const arcs = new Map(choice.arcs);
  const wires = new Map(choice.wires);
  let [period, high]: [Fs, Fs] = [oscillator.period, oscillator.high];
  for (const { name, value } of delays) {
    const [, ref = "", from = "", edge = "", to = "", change = ""] =
      /^(\w+) (\S+) (rise|fall) to (\S+) (\S+)$/.exec(name) ?? [];
    const [, driver = "", pin = "", other = "", receiver = ""] = /^wire (\w+) (\S+) to (\w+) (\S+)$/.exec(name) ?? [];
    if (ref !== "") arcs.set(arcKey(ref, from, edge as "rise", to, change as "rise"), value);
    else if (driver !== "") wires.set(wireKey(driver, pin, other, receiver), value);
    else if (name === "period") period = value;
    else high = value;
  }
  const oscillators = new Map([[oscillator.ref, { period, high, start: period }]]);
  const simulator = new Simulator(tables, chooseDelays(tables, { ...choice, arcs, wires, oscillators }), {
    powerUp: "low",
  });
  const changes: number[] = [];
  const edges: number[] = [];
  const at = (name: string) =>
    tables.variables.findIndex((one: { readonly chip: Chip; readonly name: string; readonly kind: string }) => {
      return one.kind === "pin" && one.chip.ref === chip && one.name === name;
    });
  const [data, clock] = [at("D"), at("CLK")];
  simulator.observePins([data, clock], (pin, time) => (pin === data ? changes : edges).push(time));
  simulator.run(fs(period * (ticks + 1)));
  return { changes, rises: edges.filter((_, index) => index % 2 === 0) };
}
