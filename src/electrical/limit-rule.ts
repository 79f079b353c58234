import { measure, microvolts, printMeasure } from "../quantity/index.js";
import { ownRail } from "./level-remedies.js";
import { makeVerdict } from "./make-verdict.js";
import { sourced } from "./net-load.js";
import type { BoardPins, NetDriver, NetReceiver } from "./net-pins.js";
import { outputWords } from "./output-words.js";
import { isRecalled } from "./recalled.js";
import type { ElectricalVerdict } from "./verdict.js";

/**
 * The highest voltage at an input: an output on a higher supply must not drive more into it than it stands. Where driver and
 * receiver share a supply it cannot, so nothing is said of those.
 */
export function limitVerdicts({ nets }: BoardPins): readonly ElectricalVerdict[] {
  return nets.flatMap(({ net, drivers, receivers }) => {
    const worst = new Map<string, ElectricalVerdict>();
    for (const driver of drivers) {
      for (const receiver of receivers) {
        if (receiver.supply === driver.supply) continue;
        const verdict = limitVerdict(net.name, driver, receiver);
        const known = worst.get(verdict.name);
        if (!known || (verdict.margin ?? 0) < (known.margin ?? 0)) worst.set(verdict.name, verdict);
      }
    }
    return [...worst.values()];
  });
}

function limitVerdict(net: string, driver: NetDriver, receiver: NetReceiver): ElectricalVerdict {
  const { upTo, levelSource } = receiver.figures;
  const given = microvolts(driver.supply.volts.max);
  const stood = upTo === "supply" ? microvolts(receiver.supply.volts.min) : upTo;
  const margin = stood - given;
  const holds = margin >= 0;
  return makeVerdict({
    rule: "input limit",
    nameParts: { head: "input limit", item: net, tail: `${driver.family} to ${receiver.family}` },
    quantity: "voltage",
    symbol: "VI",
    chip: receiver.chip.ref,
    part: receiver.part,
    pin: receiver.pin,
    net,
    reference: driver.label,
    state: holds ? "holds" : "fails",
    required: given,
    available: stood,
    margin,
    demand:
      `${outputWords(driver)}, on ${driver.supply.name}, can drive ${net} up to ` +
      `${printMeasure(measure("voltage", given))} into ${receiver.label} (${receiver.part}), on ${receiver.supply.name}.`,
    note: holds
      ? ""
      : "Above its supply an input conducts through its protection diode, and feeds the supply of its chip.",
    remedies: holds
      ? []
      : driver.part === "rail"
        ? [ownRail(receiver)]
        : [
            `a 74LVC or 74AHC gate on ${receiver.supply.name} between them, whose inputs stand 5.5 V`,
            `two resistors that divide the level down, where ${net} is slow`,
          ],
    restsOn: isRecalled([levelSource]),
    reckoning: [
      {
        text:
          upTo === "supply"
            ? `supply of ${receiver.chip.ref} at least, which its inputs must not exceed`
            : "input stands",
        figure: measure("voltage", stood),
        ...(upTo === "supply" ? { mark: "circuit file" as const } : sourced(levelSource)),
      },
      { text: `supply ${driver.supply.name} at most`, figure: measure("voltage", given), mark: "circuit file" },
      { text: "margin", figure: measure("voltage", margin) },
    ],
  });
}
