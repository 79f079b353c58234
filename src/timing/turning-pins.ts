import type { NetModel, PinModel } from "./model.js";

/** The pin that alone tells a driver to take a net and to let go of it; none where it is several, or nothing ever does. */
export function turningPins({ chip, output: { enable } }: NetModel["drivers"][number]): readonly PinModel[] {
  const pins = chip.pins.filter(({ slot }) => enable?.slots.includes(slot));
  const isAlone = enable?.slots.every((slot) => slot === pins[0]?.slot || chip.fixed[slot]);
  return isAlone ? pins.slice(0, 1) : [];
}
