import { measure, microvolts, printMeasure } from "../quantity/index.js";
import { overloadRemedies } from "./level-remedies.js";
import { makeVerdict } from "./make-verdict.js";
import { dcLoad, sourced } from "./net-load.js";
import type { BoardPins, NetDriver, NetPins } from "./net-pins.js";
import { mostCurrent } from "./output-level.js";
import { outputWords } from "./output-words.js";
import { isRecalled } from "./recalled.js";
import type { ElectricalVerdict } from "./verdict.js";

/** Fan-out: what the inputs of a net draw against what its driver gives or takes, for each net and family of drivers. */
export function currentVerdicts({ nets }: BoardPins): readonly ElectricalVerdict[] {
  return nets
    .filter(({ net }) => !net.rail)
    .flatMap((pins) =>
      (["high", "low"] as const).flatMap((level) => {
        const families = new Map<string, ElectricalVerdict>();
        for (const driver of pins.drivers) {
          const verdict = currentVerdict(level, pins, driver);
          const known = families.get(driver.family);
          if (verdict && (!known || (verdict.margin ?? 0) < (known.margin ?? 0))) families.set(driver.family, verdict);
        }
        return [...families.values()];
      }),
    );
}

function currentVerdict(level: "high" | "low", pins: NetPins, driver: NetDriver): ElectricalVerdict | undefined {
  const load = dcLoad(pins, driver, level);
  if (load.lines.every(({ figure }) => figure === undefined)) return undefined;
  const points = level === "high" ? driver.figures.high : driver.figures.low;
  const source = level === "high" ? driver.figures.highSource : driver.figures.lowSource;
  const most = mostCurrent(points, microvolts(driver.supply.volts.min));
  const margin = most - load.current;
  const holds = margin >= 0;
  const symbol = level === "high" ? "IOH" : "IOL";
  const name = pins.net.name;
  return makeVerdict({
    rule: level === "high" ? "high current" : "low current",
    nameParts: { head: `${level} current`, item: name, tail: driver.family },
    quantity: "current",
    symbol,
    chip: driver.chip?.ref ?? "",
    part: driver.part,
    pin: driver.pin,
    net: name,
    state: holds ? "holds" : "fails",
    required: load.current,
    available: most,
    margin,
    count: load.lines.length,
    demand:
      `While ${name} is ${level}, ${outputWords(driver)} must ${level === "high" ? "give" : "take"} ` +
      `${printMeasure(measure("current", load.current))} (${symbol}).`,
    remedies: holds ? [] : overloadRemedies(level, pins, driver),
    restsOn: [
      ...(driver.isAssumed ? (["assumed levels"] as const) : []),
      ...isRecalled([...(driver.isAssumed ? [] : [source]), ...(holds ? [] : load.rests)]),
    ],
    reckoning: [
      ...load.lines,
      { text: `${symbol} of ${driver.label} (${driver.part})`, figure: measure("current", most), ...sourced(source) },
      {
        text: "margin",
        figure: measure("current", margin),
        working: `${printMeasure(measure("current", most))} - ${printMeasure(measure("current", load.current))}`,
      },
    ],
  });
}
