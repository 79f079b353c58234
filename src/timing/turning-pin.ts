import type { NetModel, PinModel } from "./model.js";

/** The pin that alone tells a driver to take a net and to let go of it; undefined where several do, or nothing ever does. */
export function turningPin({ chip, output: { enable } }: NetModel["drivers"][number]): PinModel | undefined {
  const pin = chip.pins.find(({ slot }) => enable?.slots.includes(slot));
  return enable?.slots.every((slot) => slot === pin?.slot || chip.fixed[slot]) ? pin : undefined;
}
