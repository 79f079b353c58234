import { isMissing } from "../parts/index.js";
import type { ChipModel, Model, PinModel, Verdict } from "../timing/index.js";

/** What a chip asks of the edges at one of its pins. */
export interface WidthDemand extends Pick<Verdict, "rule" | "symbol"> {
  /** In femtoseconds. */
  readonly required: number;
}

/** How long a level must stand at a pin that acts at once, and how far apart its clock edges must come, by the sheets. */
export function widthDemands({ chips }: Model, ref: string, name: string): readonly WidthDemand[] {
  const [found] = chips.flatMap((chip) => {
    const pin = chip.chip.ref === ref ? chip.pins.find((one) => one.name === name) : undefined;
    return pin ? [{ chip, pin }] : [];
  });
  return found ? demandsAt(found.chip, found.pin) : [];
}

function demandsAt({ chip }: ChipModel, { name, uses }: PinModel): readonly WidthDemand[] {
  const { figures } = chip.part;
  const widths = (["high", "low"] as const).map((level) => ({
    figure: figures.width(name, level),
    ...{ rule: "pulse width" as const, symbol: `tw ${level}` },
  }));
  const period = { figure: figures.period(name), rule: "clock period" as const, symbol: "fmax" };
  const strobe = { figure: figures.memory(name.startsWith("W") ? "tWP" : "tCW"), rule: "pulse width" as const };
  const all = [
    ...widths,
    ...(uses.includes("clock") ? [period] : []),
    ...(uses.includes("write strobe") ? [{ ...strobe, symbol: "tw low" }] : []),
  ];
  return all.flatMap(({ figure, ...demand }) =>
    isMissing(figure) ? [] : [{ ...demand, required: figure.time as number }],
  );
}
