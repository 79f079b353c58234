import type { BuildStyle } from "../circuit/index.js";
import { type Femtofarads, measure, microvolts, printMeasure } from "../quantity/index.js";
import { makeVerdict } from "./make-verdict.js";
import { capacitiveLoad, sourced } from "./net-load.js";
import type { BoardPins, NetDriver, NetPins } from "./net-pins.js";
import { thresholdAt } from "./output-level.js";
import { isRecalled } from "./recalled.js";
import type { ElectricalVerdict } from "./verdict.js";

/** Inputs that ask for no more are for TTL levels. */
const TTL_HIGH = microvolts(2.4);

/**
 * The load of oscillator cans, whose sheets limit it: to a capacitance where there are CMOS inputs, and to a number of
 * inputs where all are for TTL levels.
 */
export function canLoadVerdicts({ nets }: BoardPins, build: BuildStyle): readonly ElectricalVerdict[] {
  return nets.flatMap((pins) =>
    pins.drivers.flatMap((driver): ElectricalVerdict[] => {
      const { mostLoad, mostInputs } = driver.figures;
      const isTtl = pins.receivers.every(
        ({ figures, supply }) => thresholdAt(figures.high, microvolts(supply.volts.max)) <= TTL_HIGH,
      );
      if (isTtl && mostInputs !== undefined) return [inputsVerdict(pins, driver, mostInputs)];
      return mostLoad === undefined ? [] : [capacitanceVerdict(pins, driver, mostLoad, build)];
    }),
  );
}

function capacitanceVerdict(pins: NetPins, driver: NetDriver, most: Femtofarads, build: BuildStyle): ElectricalVerdict {
  const load = capacitiveLoad(pins, driver, build);
  const margin = most - load.capacitance;
  return makeVerdict({
    ...common(pins, driver, margin),
    quantity: "capacitance",
    symbol: "CL",
    required: load.capacitance,
    available: most,
    margin,
    demand: `${driver.label} (${driver.part}) is specified for a load of at most ${printMeasure(measure("capacitance", most))}.`,
    restsOn: ["common practice", ...isRecalled([driver.figures.highSource])],
    reckoning: [
      ...load.lines,
      { text: "load in all", figure: measure("capacitance", load.capacitance) },
      {
        text: "most that the sheet allows",
        figure: measure("capacitance", most),
        ...sourced(driver.figures.highSource),
      },
      { text: "margin", figure: measure("capacitance", margin) },
    ],
  });
}

function inputsVerdict(pins: NetPins, driver: NetDriver, most: number): ElectricalVerdict {
  const count = pins.receivers.length;
  const margin = most - count;
  return makeVerdict({
    ...common(pins, driver, margin),
    quantity: "count",
    required: count,
    available: most,
    margin,
    count,
    demand: `${driver.label} (${driver.part}) is specified for at most ${most} TTL inputs.`,
    restsOn: isRecalled([driver.figures.highSource]),
    reckoning: [
      { text: `inputs for TTL levels on ${pins.net.name}`, figure: measure("count", count) },
      { text: "most that the sheet allows", figure: measure("count", most), ...sourced(driver.figures.highSource) },
      { text: "margin", figure: measure("count", margin) },
    ],
  });
}

function common({ net }: NetPins, driver: NetDriver, margin: number) {
  const holds = margin >= 0;
  return {
    rule: "load capacitance",
    nameParts: { head: "load capacitance", item: net.name, tail: driver.family },
    chip: driver.chip?.ref ?? "",
    part: driver.part,
    pin: driver.pin,
    net: net.name,
    state: holds ? "holds" : "fails",
    remedies: holds
      ? []
      : [`a gate or buffer right behind ${driver.label} that drives ${net.name}`, "fewer inputs or shorter wires"],
  } as const;
}
