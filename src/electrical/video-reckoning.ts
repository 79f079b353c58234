import { sourceLine } from "../parts/index.js";
import { type Measure, measure, printMeasure } from "../quantity/index.js";
import type { Weakness } from "../verdict/index.js";
import { type DrivenNetwork, toleranceOfPart } from "./network-levels.js";
import type { ReckoningLine } from "./verdict.js";

/** A figure in microvolts from volts. */
export function voltsMeasure(volts: number): Measure<"voltage"> {
  return measure("voltage", volts * 1e6);
}

export function printVolts(volts: number): string {
  const millivolts = Math.abs(volts) < 0.9995 ? `${(volts * 1000).toFixed(0)} mV` : undefined;
  return millivolts === "-0 mV" ? "0 mV" : (millivolts ?? printMeasure(voltsMeasure(volts)));
}

/** What a level follows from: the supply, the outputs, the resistors, and the load at the other end of the cable. */
export function networkLines(
  { drives, resistors, loads }: DrivenNetwork,
  loadSource: string,
): readonly ReckoningLine[] {
  const outputs = [...drives].flatMap(([net, { pin, supply, high, highSource }]): ReckoningLine[] => {
    const { volts, ohms } = high.weak;
    const where = `${pin.chip.ref} ${pin.chip.part.number} ${pin.pin} on ${net}`;
    return [
      { text: `supply of ${where}: ${supply.min} to ${supply.max} V`, mark: "circuit file" },
      {
        text: `${where}, high: at its weakest ${volts === 0 ? "the supply" : `${printVolts(volts)} below the supply`} behind`,
        figure: measure("resistance", ohms * 1e3),
        source: sourceLine(highSource),
      },
    ];
  });
  const parts = resistors.map((part): ReckoningLine => {
    const percent = Number((toleranceOfPart(part) * 100).toPrecision(3));
    return {
      text: `${part.ref} between ${part.nets.join(" and ")}, ± ${percent} %`,
      figure: measure("resistance", part.amount * 1e3),
      mark: part.tolerance === undefined ? "common practice" : "circuit file",
    };
  });
  const [load] = loads.values();
  return [
    ...outputs,
    ...parts,
    ...(load === undefined
      ? []
      : [{ text: "load at the end of the cable", figure: measure("resistance", load * 1e3), source: loadSource }]),
  ];
}

/** What the levels of a network rest on that no maker promises. */
export function weaknessesOf({ drives, resistors }: DrivenNetwork, mostAmperes: number): readonly Weakness[] {
  const all = [...drives.values()];
  const isRecalled = all.some(({ highSource, lowSource }) => highSource.fromMemory || lowSource.fromMemory);
  const isPractice =
    resistors.some(({ tolerance }) => tolerance === undefined) ||
    all.some(({ isOhmic, promised }) => !isOhmic || mostAmperes > promised);
  return [...(isRecalled ? (["from memory"] as const) : []), ...(isPractice ? (["common practice"] as const) : [])];
}
