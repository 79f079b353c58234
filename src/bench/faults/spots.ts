import type { Board } from "../board/board.js";
import type { Fault } from "./fault.js";

/**
 * Where a builder looks for a fault: a wire, a pair of neighbouring pins, a chip or a net, by names. Faults with a spot in
 * common are found by one look: a wire that is missing or sits a pin further, two pins that touch or a wire between them.
 */
export function spotsOf(
  { wires }: Pick<Board, "wires">,
  { kind, edit, wires: own, chip = "", id }: Fault,
): readonly string[] {
  const [joined] = edit.join ?? [];
  switch (kind) {
    case "absent":
    case "backwards":
    case "unpowered":
    case "wrong part":
      return [`chip ${chip}`];
    case "stuck":
      return [`net ${id.split(" ")[1] ?? ""}`];
    case "short":
      return joined ? [pairOf(...joined)] : [];
    case "misplaced": {
      const wire = wires[own[0] ?? -1];
      if (!wire || !joined) return [];
      // One end stayed where it belongs: the other one is in a pin beside its own.
      const start = wire.from ?? wire.net.rail ?? "low";
      const [stayed, left] = joined.includes(start) ? [start, wire.to] : [wire.to, start];
      const place = joined.find((end) => end !== stayed);
      return [`wire ${wire.id}`, ...(place === undefined ? [] : [pairOf(left, place)])];
    }
    case "missing":
    case "swapped":
    case "wrong level":
      return own.map((wire) => `wire ${wire}`);
  }
}

function pairOf(one: number | "low" | "high", other: number | "low" | "high"): string {
  return `pins ${[one, other].map(String).sort().join(" and ")}`;
}
