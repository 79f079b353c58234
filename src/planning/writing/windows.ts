import type { LogicFamily } from "../design.js";
import type { Way } from "./decode.js";
import type { Gate } from "./gates.js";
import { type Strobe, type Window, tap } from "./sharing.js";

/** What makes a window: gates, of which there may be several ways, and flip-flops of the strobe register. */
export interface MadeWindow {
  readonly ways: readonly Way[];
  readonly strobes: readonly Strobe[];
}

/**
 * A window is decoded of the ring's taps a phase before it begins, and registered. 74HC takes two taps and a condition in one
 * gate; 74AHCT has gates of two inputs only, so that a condition is registered with one tap first and meets the other one in
 * the phase after.
 */
export function makeWindow({ net, first, last, when }: Window, family: LogicFamily): MadeWindow {
  const [from, to] = [first - 1, last - 1];
  const isLow = net.endsWith("#");
  const base = net.replace("#", "");
  const data = `${base}_NEXT${isLow ? "#" : ""}`;
  const strobe: Strobe = { data, q: net };
  const length = to - from + 1;
  const remark = `phase${length > 1 ? "s" : ""} ${place(from)}${length > 1 ? ` to ${place(to)}` : ""}`;
  const gate = (kind: Gate["kind"], inputs: readonly string[]): Gate => ({
    kind,
    inputs,
    output: data,
    remark: when === undefined ? remark : `${remark} where ${when} is high`,
    ...(family === "fast" && { isQuick: true }),
  });
  // What is left of the cell is shorter.
  if (length > 3) return { ways: [[gate(isLow ? "OR" : "NOR", [tap(to + 1), tap(from - 3)])]], strobes: [strobe] };
  // T3 carries the clocks of the counters and syncs; one gate more would make the ring late.
  const taps =
    family === "HC" && from === to && (from === 4 || from === 5)
      ? [tap(from), `${tap(from + 1)}#`]
      : [...new Set([tap(from), tap(to - 2)])];
  const kind = isLow ? "NAND" : "AND";
  if (taps[0] === "T2" && taps.length === 1 && family === "HC" && !isLow && when === undefined) {
    // The ring has its inverse, so that T2, which clocks, drives one input less.
    return { ways: [[gate("NOT", ["T2#"])]], strobes: [strobe] };
  }
  if (taps.length === 1 && when === undefined) {
    const kinds: readonly Gate["kind"][] = isLow ? ["NOT"] : family === "fast" ? ["AND"] : ["AND", "OR"];
    return { ways: kinds.map((one) => [gate(one, taps)]), strobes: [strobe] };
  }
  if (when === undefined) return { ways: [[gate(kind, taps)]], strobes: [strobe] };
  if (family === "HC" || taps.length === 1) return { ways: [[gate(kind, [...taps, when])]], strobes: [strobe] };
  const soon = `${base}_SOON`;
  const rest = {
    output: `${soon}_NEXT`,
    remark: `phases ${place(from - 1)} to ${place(from + 1)} where ${when} is high`,
    isQuick: true,
  };
  const isT6 = tap(from - 1) === "T6";
  // The ring stores T6 the other way round; one gate takes it so, and no inverter comes before it.
  const early: readonly Gate[] = isT6
    ? [...inverse(when), { kind: "NOR", inputs: ["T6#", opposite(when)], ...rest }]
    : [{ kind: "AND", inputs: [tap(from - 1), when], ...rest }];
  return {
    ways: [[...early, gate(kind, [tap(to - 2), soon])]],
    strobes: [{ data: rest.output, q: soon }, strobe],
  };
}

/** The net that is low where this one is high. */
function opposite(net: string): string {
  return net.endsWith("#") ? net.slice(0, -1) : `${net}#`;
}

/** The inverter that makes it; that of a net with `#` is there already. */
function inverse(net: string): readonly Gate[] {
  return net.endsWith("#") ? [] : [{ kind: "NOT", inputs: [net], output: opposite(net), isQuick: true }];
}

function place(phase: number): number {
  return (phase + 8) % 8;
}
