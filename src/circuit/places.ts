import type { Place, Span } from "./problem.js";
import type { Report } from "./report.js";
import { type Wiring, type WrittenChip, pinKey } from "./wiring.js";

/** Where the file speaks of a chip, a pin or a net; undefined for what it does not name. */
export interface Places {
  chip(ref: string): Place | undefined;
  pin(ref: string, pin: string): Place | undefined;
  /** Where the net is first named. */
  net(name: string): Place | undefined;
}

/** Of a file that could not be read at all. */
export const NOWHERE: Places = { chip: () => undefined, pin: () => undefined, net: () => undefined };

export function placesOf(written: readonly WrittenChip[], wiring: Wiring, report: Report): Places {
  const chips = new Map(written.map(({ ref, at }) => [ref, at]));
  const place = (span: Span | undefined) => span && report.place(span);
  return {
    chip: (ref) => place(chips.get(ref)),
    pin: (ref, pin) => place(wiring.pinSpans.get(pinKey(ref, pin))),
    net: (name) => place(wiring.nets.spanOf(name)),
  };
}
