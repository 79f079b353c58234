import * as say from "./messages.js";
import type { PlacedName, PlacedNames } from "./net-names.js";
import type { Span } from "./problem.js";
import type { Report } from "./report.js";

/** A pin and its net as the file writes them, ranges written out. */
export interface WrittenPin {
  readonly pin: string;
  readonly at: Span;
  readonly net: string;
  readonly netAt: Span;
}

export interface Pairs {
  readonly pins: readonly WrittenPin[];
  /** Nets that are named but paired with no pin, because something is wrong with the names or their number. */
  readonly strayNets: readonly PlacedName[];
}

/** Pairs pins with nets: one net for all of them, or one each. Other numbers are reported at `at`. */
export function pairPins(pins: PlacedNames, nets: PlacedNames, at: Span, report: Report): Pairs {
  const [only] = nets.names;
  const fits = nets.names.length === 1 || nets.names.length === pins.names.length;
  if (!pins.isWhole || !nets.isWhole || !only || !fits) {
    if (pins.isWhole && nets.isWhole) report.add(at, say.widthMismatch(pins.names.length, nets.names.length));
    return { pins: [], strayNets: nets.names };
  }
  const paired = pins.names.map(({ name, span }, index) => {
    const net = nets.names[index] ?? only;
    return { pin: name, at: span, net: net.name, netAt: net.span };
  });
  return { pins: paired, strayNets: [] };
}
