import type { Net } from "../../src/circuit/circuit.js";
import { isMended, powerUp } from "../../src/timing/power-up/power-up.js";
import { buildCircuit, chipOf, known, netOf, oscillator } from "./build-circuit.js";
import { type Sketch, CLOCK_NET, printSketch } from "./clocked-circuit.js";
import { SlowBoard, conesOf } from "./every-start.js";
import { randomSketch } from "./random-clocked-circuit.js";

const MOST_BITS = 7;

/** A random circuit with most of its clears on resets, at most two, that may be let go one before the other. */
function withResets(seed: number): { readonly sketch: Sketch; readonly resets: readonly string[] } {
  const resets = ["RST0#", "RST1#"];
  const used = new Set<string>();
  const sketch = randomSketch(seed);
  const chips = sketch.chips.map((chip, index) => ({
    ...chip,
    pins: Object.fromEntries(
      Object.entries(chip.pins).map(([pin, net]) => {
        if (!pin.endsWith("CLR#") || net !== "high" || (seed + index) % 3 === 0) return [pin, net];
        const reset = resets[index % 2] ?? "RST0#";
        used.add(reset);
        return [pin, reset];
      }),
    ),
  }));
  return { sketch: { ...sketch, chips }, resets: [...used] };
}

function circuitOf({ chips }: Sketch, resets: readonly string[]) {
  return buildCircuit({
    chips: {
      X1: [oscillator(100), `OUT=${CLOCK_NET}`],
      ...Object.fromEntries(
        chips.map(({ ref, function: name, pins }) => {
          const words = Object.entries(pins).map(([pin, net]) => `${pin}=${net}`);
          return [ref, [known(name, { delay: [4, 9] }), words.join(" ")] as const];
        }),
      ),
    },
    inputs: Object.fromEntries(resets.map((net) => [net, { powerUpOnly: "low" as const, least: 100_000 }])),
  });
}

/** Whether the resets, let go one by one around the edges of a period, can leave some part where the proof never is. */
function lostAfterReset(circuit: ReturnType<typeof circuitOf>, resets: readonly string[]): boolean {
  const board = new SlowBoard(circuit, () => 1);
  const active = Object.fromEntries(resets.map((net) => [net, 0 as const]));
  const released = Object.fromEntries(resets.map((net) => [net, 1 as const]));
  const step = (state: number, levels: Readonly<Record<string, 0 | 1>>) => {
    board.start(state, levels);
    board.period();
    return board.state;
  };
  let held = new Set(Array.from({ length: 2 ** board.bits.length }, (_, state) => state));
  for (;;) {
    const after = new Set([...held].map((state) => step(state, active)));
    if (after.size === held.size) break;
    held = after;
  }
  const proved = new Set<number>();
  for (let state = 0; !proved.has(state); state = step(state, released)) proved.add(state);
  const nets = resets.map((name): Net => netOf(circuit, name));
  const starts = new Set<number>();
  for (const state of held) {
    // Each reset is let go before the rise, between the edges, or after the fall.
    for (let moment = 0; moment < 3 ** nets.length; moment++) {
      const when = nets.map((_, n) => Math.floor(moment / 3 ** n) % 3);
      board.start(state, active);
      for (const [at, edge] of [
        [0, 1],
        [1, 0],
        [2, undefined],
      ] as const) {
        nets.forEach((net, n) => {
          if (when[n] === at) board.edge(1, net);
        });
        if (edge !== undefined) board.edge(edge);
      }
      starts.add(board.state);
    }
  }
  const masks = conesOf(circuit, board.bits).map((cone) => cone.reduce((sum, place) => sum | (1 << place), 0));
  return masks.some((mask) => {
    const belongs = new Set([...proved].map((state) => state & mask));
    return [...starts].some((start) => {
      let state = start;
      for (let n = 0; n <= 2 ** board.bits.length && !belongs.has(state & mask); n++) state = step(state, released);
      return !belongs.has(state & mask);
    });
  });
}

/**
 * Whether the circuit of a seed can be left, by a way of letting its resets go, where the proof never is, and whether the proof
 * takes it as mended by them. Undefined where there is no reset or nothing to mend, or where the order of changes decides.
 */
export function resetFate(seed: number) {
  const { sketch, resets } = withResets(seed);
  const circuit = circuitOf(sketch, resets);
  const { length: bits } = new SlowBoard(circuit, () => 1).bits;
  if (resets.length === 0 || bits > MOST_BITS) return undefined;
  const obstacles = obstaclesWithResets(seed);
  if (obstacles.length === 0) return undefined;
  try {
    const isLost = lostAfterReset(circuit, resets);
    return { text: printSketch(sketch), isLost, isMended: obstacles.every(isMended) };
  } catch {
    return undefined;
  }
}

export function obstaclesWithResets(seed: number) {
  const { sketch, resets } = withResets(seed);
  const circuit = circuitOf(sketch, resets);
  return powerUp(circuit, chipOf(circuit, "X1")).obstacles;
}
