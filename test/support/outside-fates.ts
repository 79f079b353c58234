import type { Circuit } from "../../src/circuit/circuit.js";
import { logicView } from "../../src/timing/power-up/logic-view.js";
import { powerUp } from "../../src/timing/power-up/power-up.js";
import { freePart } from "../../src/timing/power-up/taint.js";
import { buildCircuit, chipOf, known, netOf, oscillator } from "./build-circuit.js";
import { type Sketch, CLOCK_NET, printSketch } from "./clocked-circuit.js";
import { SlowBoard, conesOf } from "./every-start.js";
import { randomSketch } from "./random-clocked-circuit.js";

const MOST_BITS = 6;
/** Least times of the signal, in oscillator periods. */
const LEAST = { high: 1, low: 2, repeat: 4 };

/** A random circuit in which some inputs hang on a signal from outside; every net is made control by an output enable. */
function withSignal(seed: number): Sketch {
  const sketch = randomSketch(seed);
  const chips = sketch.chips.map((chip, index) => ({
    ...chip,
    pins: Object.fromEntries(
      Object.entries(chip.pins).map(([pin, net], place) => {
        const isTaken = (seed + index + place) % 4 === 0 && /^(\d?(D|CLK)|ENP|SER|LOAD#|1CLR#)$/.test(pin);
        return [pin, isTaken ? "IN" : net];
      }),
    ),
  }));
  return { ...sketch, chips };
}

function circuitOf({ chips }: Sketch): Circuit {
  const nets = new Set(chips.flatMap(({ pins }) => Object.values(pins)).filter((net) => /^N\d+$/.test(net)));
  const words = (pins: Readonly<Record<string, string>>) =>
    Object.entries(pins)
      .map(([pin, net]) => `${pin}=${net}`)
      .join(" ");
  return buildCircuit({
    chips: {
      X1: [oscillator(100), `OUT=${CLOCK_NET}`],
      ...Object.fromEntries(
        chips.map(({ ref, function: name, pins }) => [ref, [known(name, { delay: [4, 9] }), words(pins)] as const]),
      ),
      ...Object.fromEntries(
        [...nets].map((net) => [`G${net}`, [known("244", { delay: 5 }), `1OE#=${net} 1A1=low 1Y1=Z${net}`] as const]),
      ),
    },
    inputs: { IN: { anyTime: { high: 100 * LEAST.high, low: 100 * LEAST.low, repeat: 100 * LEAST.repeat } } },
  });
}

/** What the board holds, the level of the signal, and how many periods ago it rose and fell. */
type State = readonly [bits: number, level: 0 | 1, rose: number, fell: number];
const codeOf = ([bits, level, rose, fell]: State) => ((bits * 2 + level) * 16 + rose) * 16 + fell;
const signalOf = ([, level, rose, fell]: State) => [level, rose, fell] as const;
/** So long ago that it matters no more. */
const LONG = 4;

/** Runs a board with the signal, every way in which it may go on from a state. */
class Played {
  readonly #board: SlowBoard;
  readonly #circuit: Circuit;
  readonly #next = new Map<string, number>();

  constructor(circuit: Circuit) {
    this.#circuit = circuit;
    this.#board = new SlowBoard(circuit, () => 1);
  }

  after([bits, level, rose, fell]: State): readonly State[] {
    const edges = (from: { level: 0 | 1; rose: number; fell: number }) => {
      const may = from.level === 1 ? from.rose >= LEAST.high : from.fell >= LEAST.low && from.rose >= LEAST.repeat;
      if (!may) return [from];
      const other =
        from.level === 1 ? { ...from, level: 0 as const, fell: 0 } : { ...from, level: 1 as const, rose: 0 };
      return [from, other];
    };
    return edges({ level, rose, fell }).flatMap((first) =>
      edges(first).map((second): State => {
        const aged = (time: number) => Math.min(LONG, time + 1);
        const to = this.#run(bits, level, first.level, second.level);
        return [to, second.level, aged(second.rose), second.level === 1 ? LONG : aged(second.fell)];
      }),
    );
  }

  #run(bits: number, before: 0 | 1, first: 0 | 1, second: 0 | 1): number {
    const key = `${bits} ${before}${first}${second}`;
    const known = this.#next.get(key);
    if (known !== undefined) return known;
    const net = netOf(this.#circuit, "IN");
    this.#board.start(bits, { IN: before });
    this.#board.edge(first, net);
    this.#board.edge(1);
    this.#board.edge(second, net);
    this.#board.edge(0);
    this.#next.set(key, this.#board.state);
    return this.#board.state;
  }
}

/** The most periods until the board stands where it may stand from a start at 0; infinite where it may never do. */
function mostPeriods(circuit: Circuit, bits: number, mask: number): number {
  const played = new Played(circuit);
  const masked = ([held, ...rest]: State): State => [held & mask, ...rest];
  const proved = new Map<number, State>();
  const open: State[] = [[0, 1, LONG, LONG]];
  for (let state = open.pop(); state; state = open.pop()) {
    if (proved.has(codeOf(masked(state)))) continue;
    proved.set(codeOf(masked(state)), masked(state));
    open.push(...played.after(masked(state)));
  }
  // The signal keeps its least times from the beginning.
  const signals = new Map([...proved.values()].map((state) => [codeOf([0, ...signalOf(state)]), signalOf(state)]));
  const helds = new Set(Array.from({ length: 2 ** bits }, (_, held) => held & mask));
  const all = [...helds].flatMap((held) => [...signals.values()].map((signal): State => [held, ...signal]));
  // How long a state stays away: one period longer than the longest of those that follow it.
  const away = new Map(all.filter((state) => !proved.has(codeOf(state))).map((state) => [codeOf(state), state]));
  const follow = new Map(
    [...away].map(
      ([code, state]) => [code, [...new Set(played.after(state).map((to) => codeOf(masked(to))))]] as const,
    ),
  );
  const periods = new Map<number, number>();
  for (let grew = true; grew;) {
    grew = false;
    for (const [code, after] of follow) {
      const times = after.map((one) => (proved.has(one) ? 0 : periods.get(one)));
      if (times.includes(undefined)) continue;
      periods.set(code, 1 + Math.max(...times.map((time) => time ?? 0)));
      follow.delete(code);
      grew = true;
    }
  }
  return follow.size > 0 ? Infinity : Math.max(0, ...periods.values());
}

/**
 * What becomes of the circuit of a seed from every state, whatever its signal does: the most periods until it stands where it
 * may stand from a start at 0 (infinite where it may never do), beside what the proof finds. Undefined where the signal reaches
 * no storage, or where the order of changes decides.
 */
export function outsideFate(seed: number) {
  const sketch = withSignal(seed);
  const circuit = circuitOf(sketch);
  const { bits } = new SlowBoard(circuit, () => 1);
  const free = freePart(logicView(circuit, chipOf(circuit, "X1"), "released"));
  const chips = [...free.sections].map(({ chip }) => chip);
  if (bits.length > MOST_BITS || !chips.some(({ part }) => part.behaviour.storage.length > 0)) return undefined;
  const found = powerUpWithSignal(seed);
  if (found.obstacles.some(({ obstacle }) => obstacle.kind !== "may stay away")) return undefined;
  const mask = conesOf(circuit, bits)
    .flat()
    .reduce((sum, place) => sum | (1 << place), 0);
  try {
    return { text: printSketch(sketch), found, periods: mostPeriods(circuit, bits.length, mask) };
  } catch {
    return undefined;
  }
}

export function powerUpWithSignal(seed: number) {
  const circuit = circuitOf(withSignal(seed));
  return powerUp(circuit, chipOf(circuit, "X1"));
}
