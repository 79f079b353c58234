import { register } from "../../src/parts/behaviours/define.js";
import { type Part, findPart, isPartProblem } from "../../src/parts/index.js";
import { inNs, ns, range } from "../../src/quantity/index.js";
import { type Verdict, prove } from "../../src/timing/index.js";
import { listen, play, start } from "../simulation/running.js";
import { ANY_TIME, type Limits, buildCircuit, gate, invent, known, oscillator } from "../support/build-circuit.js";
import { flipFlop, readPath, toggle } from "./worked-circuits.js";

/** Circuits of single worked examples. All times in nanoseconds unless named otherwise. */

type Chips = Record<string, readonly [Part | string, string]>;

/** Least time of clock after clock for a ripple counter whose last stage is read at the next clock. */
export function ripplePeriod(stages: number, delay: number): number {
  const period = 10 * stages * delay;
  const chips: Chips = { X1: [oscillator(period), "OUT=CK"], U0: [flipFlop(0, 0), `CLK=CK D=Q${stages}`] };
  for (let n = 1; n <= stages; n++) {
    chips[`U${n}`] = [toggle(n === 1 ? "rise" : "fall", delay), `CLK=${n === 1 ? "CK" : `Q${n - 1}`} Q=Q${n}`];
  }
  return period - readPath(buildCircuit({ chips }), "U0 D").setUp.margin;
}

/** Clocks from one last count to the next of four 4-bit counters in a row, loaded with `preset` after it if that is given. */
export function presetCounter(preset?: number): number {
  const nibble = (n: number) =>
    ["A", "B", "C", "D"].map((pin, bit) => `${pin}=${((preset ?? 0) >> (4 * n + bit)) & 1 ? "high" : "low"}`).join(" ");
  const period = 1000;
  const chips: Chips = { X1: [oscillator(period), "OUT=CK"], U5: [gate("A", "!A", 10), "A=C4 Y=LOAD#"] };
  for (let n = 0; n < 4; n++) {
    const enable = n === 0 ? "high" : `C${n}`;
    const load = preset === undefined ? "high" : "LOAD#";
    const pins = `CLK=CK CLR#=high LOAD#=${load} ENP=${enable} ENT=${enable} ${nibble(n)} RCO=C${n + 1}`;
    chips[`U${n + 1}`] = [known("161", { delay: 10 }), pins];
  }
  const simulator = start(buildCircuit({ chips }), { powerUp: { seed: 1 } });
  const carries = listen(simulator, "C4");
  simulator.run(ns(period * 3 * 65_536));
  // As the last counter comes to 15 its carry shows shortly until that of the counters before it has gone.
  const isLong = (index: number) => (carries[index + 1]?.[0] ?? Infinity) - (carries[index]?.[0] ?? 0) > period / 2;
  const rises = carries.filter(([, value], index) => value === "1" && isLong(index));
  const [first = NaN, second = NaN] = rises.map(([time]) => time);
  return Math.round((second - first) / period);
}

/** Clocks after which a 4-bit counter repeats that loads `preset` while its outputs read `at`. */
export function reloadedCounter(preset: number, at: number): number {
  const outputs = ["QA", "QB", "QC", "QD"];
  const isAt = outputs.map((name, bit) => ((at >> bit) & 1 ? name : `!${name}`)).join(" & ");
  const inputs = ["A", "B", "C", "D"].map((pin, bit) => `${pin}=${(preset >> bit) & 1 ? "high" : "low"}`);
  const names = outputs.map((name) => `${name}=${name}`).join(" ");
  const counter = known("163", { delay: 10, setUp: 10, hold: 0, width: 10, period: 50 });
  return prove(
    buildCircuit({
      chips: {
        X1: [oscillator(1000), "OUT=CK"],
        U1: [counter, `CLK=CK CLR#=high LOAD#=LOAD# ENP=high ENT=high ${inputs.join(" ")} ${names}`],
        U2: [gate(outputs.join(" "), `!(${isAt})`, 10), `${names} Y=LOAD#`],
      },
    }),
  ).cycleTicks;
}

/**
 * How long in each period an input may change that a flip-flop takes at the clock: a signal that changes within `from` to
 * `to` after the clock, and what it has to spare at both ends.
 */
export function changeWindow(period: number, setUp: number, hold: number): number {
  const [from, to] = [0.4 * period, 0.5 * period];
  const { setUp: before, hold: after } = readPath(
    buildCircuit({
      chips: { X1: [oscillator(period), "OUT=CK"], U1: [flipFlop(setUp, hold), "CLK=CK D=IN"] },
      inputs: { IN: { after: ["CK", "rise"], from, to } },
    }),
    "U1 D",
  );
  return to - from + before.margin + after.margin;
}

/** A flip-flop whose output comes back to its own input through gates, behind a clock buffer. */
export function holdOfLoop(example: {
  readonly clock: Limits;
  readonly flipFlop: Limits;
  readonly gates: readonly Limits[];
  readonly setUp: number;
  readonly hold: number;
}) {
  const looped = invent(
    {
      function: "D flip-flop",
      inputs: "CLK D",
      outputs: "Q",
      storage: [register("q", "CLK", "D")],
      drives: { Q: "q" },
    },
    { delay: example.flipFlop, setUp: example.setUp, hold: example.hold, width: 0, period: 0 },
  );
  const last = example.gates.length;
  const chips: Chips = {
    X1: [oscillator(100), "OUT=OSC"],
    U1: [gate("A", "A", example.clock), "A=OSC Y=CK"],
    U2: [looped, `CLK=CK D=N${last} Q=N0`],
  };
  example.gates.forEach((delay, n) => {
    chips[`G${n + 1}`] = [gate("A", n === 0 ? "!A" : "A", delay), `A=N${n} Y=N${n + 1}`];
  });
  return readPath(buildCircuit({ chips }), "U2 D");
}

/**
 * From when to when written data are valid, counted from the fall of a clock: they come `after` its rise and go `kept` after
 * its next fall, at which they are taken.
 */
export function writeWindow(rise: number, fall: number, after: number, kept: number) {
  const { setUp, hold } = readPath(
    buildCircuit({
      chips: {
        // The oscillator is high first: its fall is the rise of the example's clock.
        X1: [oscillator(fall, range(rise / fall, rise / fall)), "OUT=CK"],
        U1: [toggle("fall", after), "CLK=CK Q=COMES"],
        U2: [toggle("rise", kept), "CLK=CK Q=GOES"],
        U3: [gate("A B", "A ^ B", 0), "A=COMES B=GOES Y=DATA"],
        U4: [flipFlop(0, 0), "CLK=CK D=DATA"],
      },
    }),
    "U4 D",
  );
  return { from: fall - setUp.available, to: fall + hold.available };
}

/**
 * When a driver lets go that keeps on for `kept` after the clock's fall, of which the next owner drives at `next`. The clock
 * rises in the middle between two falls.
 */
export function turnAround(fall: number, kept: number, next: number): { released: number; state: Verdict["state"] } {
  const half = next - fall;
  const owner = (delay: number) =>
    known("126", { delay: (_from, _edge, _to, change) => (change.endsWith("-z") ? delay : 0) });
  // Four states, of which one bit changes at a time; READ in the second, WRITE in the fourth.
  const owners = invent(
    {
      function: "owners",
      inputs: "CLK",
      outputs: "READ WRITE",
      storage: [
        register("p", "CLK", "!q"),
        register("q", "CLK", "p"),
        register("read", "CLK", "!p & !q"),
        register("write", "CLK", "p & q"),
      ],
      drives: { READ: "read", WRITE: "write" },
    },
    { delay: 0, width: 0, period: 0 },
  );
  const { verdicts } = prove(
    buildCircuit({
      chips: {
        X1: [oscillator(half), "OUT=CK"],
        U1: [owners, "CLK=CK READ=READ WRITE=WRITE"],
        U2: [owner(kept), "1OE=READ 1A=low 1Y=D0"],
        U3: [owner(0), "1OE=WRITE 1A=low 1Y=D0"],
      },
    }),
  );
  const verdict = verdicts.find(({ rule, chip }) => rule === "contention" && chip === "U3");
  if (verdict?.available === undefined) throw new Error("no hand-over from U2 to U3");
  return { released: next - inNs(verdict.available), state: verdict.state };
}

/** Width of the pulse of A·B + A'·C when A falls while B and C are high, by the delays of its four gates. */
export function staticHazard(inverter: number, and1: number, and2: number, or: number): number {
  const simulator = start(
    buildCircuit({
      chips: {
        U1: [gate("A", "!A", inverter), "A=A Y=A#"],
        U2: [gate("A B", "A & B", and1), "A=A# B=high Y=LOW_HALF"],
        U3: [gate("A B", "A & B", and2), "A=A B=high Y=HIGH_HALF"],
        U4: [gate("A B", "A | B", or), "A=LOW_HALF B=HIGH_HALF Y=F"],
      },
      inputs: { A: ANY_TIME },
    }),
    { inputs: { A: 1 } },
  );
  simulator.run(ns(100));
  const changes = listen(simulator, "F");
  play(simulator, "A", [[200, 0]]);
  simulator.run(ns(400));
  const [fall, rise] = changes;
  if (fall?.[1] !== "0" || rise?.[1] !== "1" || changes.length !== 2) throw new Error("no single low pulse");
  return rise[0] - fall[0];
}

/** Least and greatest frequency in Hz of a can of the catalogue. */
export function canLimits(megahertz: number, ppm: number) {
  const can = findPart(`OSC-${megahertz}MHz-${ppm}ppm`, {
    supplyVolts: range(4.5, 5.5),
    ambientCelsius: range(0, 50),
    unstatedMinimum: { fractionOfTypical: 0.25 },
  });
  if (isPartProblem(can)) throw new Error(can.problem);
  const { period } = prove(buildCircuit({ chips: { X1: [can, "OUT=CK"], U1: [toggle("rise", 1), "CLK=CK Q=Q"] } }));
  if (!period) throw new Error("no period");
  return { least: 1e15 / period.max, greatest: 1e15 / period.min };
}

export interface Activity {
  /** Least, most likely and greatest duration. */
  readonly abm: readonly [number, number, number];
  readonly after: readonly string[];
}

const NS_PER_UNIT = 10;

/** Finish and slack of every activity of a network: a gate each, whose output changes when all of its inputs have. */
export function networkTimes(activities: Readonly<Record<string, Activity>>) {
  const names = Object.keys(activities);
  const ends = names.filter((name) => !Object.values(activities).some(({ after }) => after.includes(name)));
  const duration = ({ abm: [a, m, b] }: Activity) => (a + 4 * m + b) / 6;
  const total = NS_PER_UNIT * Object.values(activities).reduce((sum, activity) => sum + duration(activity), 0);
  /** Finish of `of`, with one activity longer by more than all together. */
  const finish = (of: string, longer?: string): number => {
    const chips: Chips = {
      X1: [oscillator(3 * total), "OUT=CK"],
      U1: [toggle("rise", 0), "CLK=CK Q=START"],
      U2: [flipFlop(0, 0), `CLK=CK D=${of}`],
    };
    for (const [name, activity] of Object.entries(activities)) {
      const inputs = activity.after.length === 0 ? ["START"] : activity.after;
      const delay = NS_PER_UNIT * duration(activity) + (name === longer ? total : 0);
      chips[`G${name}`] = [
        gate(inputs.join(" "), inputs.join(" & "), delay),
        `${inputs.map((input) => `${input}=${input}`).join(" ")} Y=${name}`,
      ];
    }
    return 3 * total - readPath(buildCircuit({ chips }), "U2 D").setUp.margin;
  };
  const [end] = ends;
  if (end === undefined || ends.length > 1) throw new Error("not one end");
  const whole = finish(end);
  return {
    finish: (name: string) => finish(name) / NS_PER_UNIT,
    /** By how much it may take longer before the whole does. */
    slack: (name: string) => (total - (finish(end, name) - whole)) / NS_PER_UNIT,
    duration: (name: string) => duration(activities[name] as Activity),
  };
}
