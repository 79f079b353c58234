import type { Chip, Circuit, Net } from "../../circuit/index.js";
import type { ElectricalVerdict } from "../../electrical/index.js";
import { namesIn, requirementsOf, substitutesFor } from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";
import type { ChainStep, Verdict } from "../../timing/index.js";
import type { Change } from "./change.js";
import type { Edit } from "./edits.js";
import { flipFlop, gate } from "./added-chips.js";
import { conditionsFor, gainOf } from "./gain.js";
import { handOvers } from "./hand-over.js";
import { RegisterGraph } from "./register-graph.js";
import { partChange } from "./stand-in.js";
import { wholeEnables } from "./whole-enables.js";

/** Nets tried in the place of one. */
const MOST_TAPS = 40;
/** Parts tried in the place of one. */
const MOST_PARTS = 4;

/** Changes for a failing verdict, the most promising first. */
export function candidatesFor(circuit: Circuit, verdict: Verdict): readonly Change[] {
  const graph = new RegisterGraph(circuit);
  const finder = new CandidateFinder(circuit, graph, verdict);
  const seen = new Set<string>();
  return finder
    .all()
    .filter(({ edits }) => {
      const key = JSON.stringify(edits);
      return !seen.has(key) && seen.add(key);
    })
    .sort((a, b) => b.promise - a.promise || a.chips - b.chips);
}

/** Other parts for the chips at levels that fail, or in their driver's place. */
export function partsForLevels(circuit: Circuit, failing: readonly ElectricalVerdict[]): readonly Change[] {
  const refs = failing.flatMap(({ chip, reference }) => [chip, reference.split(" ")[0] ?? ""]);
  return [...new Set(refs)].flatMap((ref) => {
    const chip = circuit.chips.find((one) => one.ref === ref);
    if (!chip) return [];
    return substitutesFor(chip.part, conditionsFor(circuit, chip))
      .filter(({ part, differences }) => {
        return (
          part.behaviour === chip.part.behaviour &&
          part.package.isDual &&
          !differences.some((text) => /made for/.test(text))
        );
      })
      .slice(0, 2 * MOST_PARTS)
      .map(({ part }) => partChange(chip, part.number, 1));
  });
}

/** Control pins of one verdict. */
const MOST_PINS = 60;

/** An input pin of a chip, not on a rail. */
interface ControlPin {
  readonly chip: Chip;
  readonly pin: string;
  readonly net: Net;
}

/** What an output comes from: inputs of its gate, or data inputs of its register. */
function inputsBefore({ chip, pin }: { readonly chip: Chip; readonly pin: string }): readonly ControlPin[] {
  const { behaviour } = chip.part;
  const value = behaviour.outputs.find((output) => output.pin === pin)?.value;
  const names = value ? namesIn(value) : [];
  const data = requirementsOf(behaviour).windows.filter(
    ({ ends, storage }) => ends === "clock" && storage.some((bit) => names.includes(bit)),
  );
  return [...new Set([...names, ...data.map((window) => window.pin)])].flatMap((name) => {
    const net = chip.nets.get(name);
    return net ? [{ chip, pin: name, net }] : [];
  });
}

class CandidateFinder {
  readonly #circuit: Circuit;
  readonly #graph: RegisterGraph;
  readonly #verdict: Verdict;
  readonly #chips: ReadonlyMap<string, Chip>;
  readonly #steps: readonly ChainStep[];

  constructor(circuit: Circuit, graph: RegisterGraph, verdict: Verdict) {
    this.#circuit = circuit;
    this.#graph = graph;
    this.#verdict = verdict;
    this.#chips = new Map(circuit.chips.map((chip) => [chip.ref, chip]));
    const { chains } = verdict;
    this.#steps = [...(chains?.earlier ?? []), ...(chains?.later ?? [])].filter(
      ({ kind, cancelled }) => kind === "arc" && !cancelled,
    );
  }

  all(): readonly Change[] {
    // What the whole board does wrong is wired wrong somewhere.
    if (this.#verdict.chip === "" && this.#verdict.net === "") return this.#otherTaps();
    return [
      ...this.#otherParts(),
      ...this.#otherTaps(),
      ...wholeEnables(this.#circuit, this.#graph, this.#verdict),
      ...handOvers(this.#circuit, this.#graph, this.#verdict),
      ...this.#registered(),
      ...this.#deadTime(),
      ...this.#synchronised(),
      ...this.#pulledUp(),
      ...this.#splitLoads(),
    ];
  }

  /** Chips whose delays or requirements count. */
  #involved(): readonly Chip[] {
    const { chip, reference } = this.#verdict;
    const refs = [chip, reference.split(" ")[0] ?? "", ...this.#steps.map((step) => step.chip)];
    return [...new Set(refs)].flatMap((ref) => this.#chips.get(ref) ?? []);
  }

  #otherParts(): readonly Change[] {
    const shortNs = this.#shortNs();
    const lacking = new Set(this.#verdict.missing.map((figure) => figure.split(":")[0] ?? ""));
    return this.#involved().flatMap((chip) => {
      const conditions = conditionsFor(this.#circuit, chip);
      const { part } = chip;
      const changes = substitutesFor(part, conditions)
        .filter(({ part: other }) => other.package.isDual || !part.package.isDual)
        .filter(({ differences }) => !differences.some((text) => /supply/.test(text)))
        .map(({ part: other }): Change => {
          // A part of which a figure is missing stands out: another has it.
          if (lacking.has(chip.ref))
            return partChange(chip, other.number, other.behaviour === part.behaviour ? 3 : 2.5);
          const gain = gainOf(this.#verdict, chip, other);
          // Where no time decides, a faster part seldom helps.
          const promise =
            this.#verdict.margin === undefined
              ? 0.3
              : gain >= shortNs
                ? 2 + gain / (1 + gain)
                : gain > 0
                  ? gain / shortNs
                  : -1;
          return partChange(chip, other.number, promise);
        })
        .filter(({ promise }) => promise > 0)
        .sort((a, b) => b.promise - a.promise);
      return changes.slice(0, MOST_PARTS);
    });
  }

  #shortNs(): number {
    const { margin } = this.#verdict;
    return margin === undefined ? 10 : Math.max(0.1, -inNs(margin));
  }

  /** The clocks, enables and data inputs on the chains, each with nets that carry the same earlier, later or turned over. */
  #otherTaps(): readonly Change[] {
    return this.#controlPins().flatMap(({ chip, pin, net }, place) => {
      const isClock = requirementsOf(chip.part.behaviour).clocks.some((clock) => clock.pin === pin);
      // The nearest first; what gates cut off from it comes last.
      const near = [...new Set([...this.#graph.near(net, MOST_TAPS), ...this.#graph.outputs])].slice(0, MOST_TAPS);
      const nets = isClock ? [...new Set([...near.slice(0, 4), ...this.#graph.clocks, ...near])] : near;
      return nets
        .filter((other) => other.id !== net.id)
        .map((other, index): Change => ({
          what: `${chip.ref} ${pin}: ${other.name} in place of ${net.name}`,
          kind: "tap or edge",
          edits: [{ kind: "net", chip: chip.ref, pin, net: other.name }],
          chips: 0,
          // A signal that somebody made and nobody uses was made for something.
          promise: (other.receivers.length === 0 ? 1.9 : 1.5) - index / 10 - place / 20,
        }));
    });
  }

  #controlPins(): readonly ControlPin[] {
    const { chip, pin, reference } = this.#verdict;
    const [otherRef = "", otherPin = ""] = reference.split(" ");
    const named: readonly (readonly [string, string])[] = [
      [chip, reference],
      [chip, pin],
      [otherRef, otherPin],
      ...this.#steps.map((step) => [step.chip, step.from] as const),
      ...this.#steps.flatMap((step) => this.#dataPins(step)),
    ];
    const found = new Map<string, ControlPin>();
    for (const [ref, name] of chip === "" ? this.#logicInputs() : named) {
      const of = this.#chips.get(ref);
      const net = of?.nets.get(name);
      const role = of?.part.behaviour.pins.find((one) => one.name === name)?.role;
      if (of && net && !net.rail && role === "input") found.set(`${ref} ${name}`, { chip: of, pin: name, net });
    }
    for (const { chip: of, pin: output } of this.#enabledOutputs()) {
      const { outputs, memory } = of.part.behaviour;
      const expression = outputs.find((one) => one.pin === output)?.enable ?? memory?.read;
      for (const name of expression ? namesIn(expression) : []) {
        const net = of.nets.get(name);
        if (net && !net.rail) found.set(`${of.ref} ${name}`, { chip: of, pin: name, net });
      }
    }
    return this.#withUpstream([...found.values()]);
  }

  /** Where a verdict is about the whole board: every input of a gate, and data inputs of registers. */
  #logicInputs(): readonly (readonly [string, string])[] {
    return this.#circuit.chips.flatMap(({ ref, part: { behaviour } }) => {
      const isGate = behaviour.storage.length === 0 && !behaviour.memory;
      const data = requirementsOf(behaviour).windows.map(({ pin }) => pin);
      const pins = isGate ? behaviour.outputs.flatMap(({ value }) => namesIn(value)) : data;
      return [...new Set(pins)].map((pin) => [ref, pin] as const);
    });
  }

  /** The same pins and those before them: inputs of the gates and data inputs of the registers that drive their nets. */
  #withUpstream(pins: readonly ControlPin[]): readonly ControlPin[] {
    const found = new Map(pins.map((one) => [`${one.chip.ref} ${one.pin}`, one]));
    let ring = pins;
    while (ring.length > 0 && found.size < MOST_PINS) {
      const before = ring.flatMap(({ net }) => net.drivers.flatMap(inputsBefore));
      ring = before.filter((one) => {
        const key = `${one.chip.ref} ${one.pin}`;
        return !one.net.rail && !found.has(key) && found.size < MOST_PINS && found.set(key, one);
      });
    }
    // One net at two inputs of a gate, taken in by two bits of one register or by the bit that gives it: likely wired wrong.
    const isOdd = ({ chip, pin, net }: ControlPin) =>
      alike(chip, pin).some((other) => other !== pin && chip.nets.get(other)?.id === net.id) ||
      takesItself(chip, pin, net);
    const all = [...found.values()];
    return [...all.filter(isOdd), ...all.filter((one) => !isOdd(one))];
  }

  /** Outputs that a verdict about two drivers names, and all that drive the net of one that nobody drives. */
  #enabledOutputs(): readonly { readonly chip: Chip; readonly pin: string }[] {
    const { rule, chip, pin, reference } = this.#verdict;
    const [ref = "", other = ""] = reference.split(" ");
    const [one, two] = [this.#chips.get(chip), this.#chips.get(ref)];
    const drivers = rule === "undriven" ? (one?.nets.get(pin)?.drivers ?? []) : [];
    return [...(one ? [{ chip: one, pin }] : []), ...(two ? [{ chip: two, pin: other }] : []), ...drivers];
  }

  /** Data inputs of the register that an arc from a clock leads out of. */
  #dataPins({ chip: ref, from, to }: ChainStep): readonly (readonly [string, string])[] {
    const chip = this.#chips.get(ref);
    const value = chip?.part.behaviour.outputs.find(({ pin }) => pin === to)?.value;
    if (!chip || !value) return [];
    const bits = namesIn(value);
    return requirementsOf(chip.part.behaviour)
      .windows.filter(
        ({ ends, reference, storage }) =>
          ends === "clock" && reference === from && storage.some((bit) => bits.includes(bit)),
      )
      .map(({ pin }) => [ref, pin] as const);
  }

  /** A flip-flop before a pin, clocked by each clock of the neighbourhood. */
  #registered(): readonly Change[] {
    return this.#controlPins().flatMap(({ chip, pin, net }, place) => {
      const own = [...this.#graph.clocksBeside(net), ...this.#graph.clocks];
      return [...new Set(own)]
        .filter((clock) => clock.id !== net.id)
        .slice(0, 3)
        .map((clock, index): Change => {
          const [ref, registered] = [this.#graph.freeRef("U"), this.#graph.freeNet(net.name)];
          return {
            what: `${ref}: a flip-flop on ${clock.name} between ${net.name} and ${chip.ref} ${pin}`,
            kind: "register",
            edits: [
              flipFlop(ref, `registers ${net.name}`, net.name, clock.name, registered),
              { kind: "net", chip: chip.ref, pin, net: registered },
            ],
            chips: 1,
            promise: 1.2 - index / 10 - place / 20,
          };
        });
    });
  }

  /** An enable that comes later and ends sooner: both it and a neighbouring tap must be active. */
  #deadTime(): readonly Change[] {
    if (this.#verdict.rule !== "contention") return [];
    return this.#controlPins().flatMap(({ chip, pin, net }) => {
      if (!pin.includes("OE") && !/^\d?G/.test(pin)) return [];
      return this.#graph.near(net, 6).map((other, index): Change => {
        const [ref, gated] = [this.#graph.freeRef("U"), this.#graph.freeNet(net.name)];
        const isLow = pin.endsWith("#");
        return {
          what: `${ref}: ${chip.ref} ${pin} active only while both ${net.name} and ${other.name} are`,
          kind: "dead time",
          edits: [
            gate(ref, isLow ? "74AHCT32" : "74AHCT08", `shortens ${net.name}`, net.name, other.name, gated),
            { kind: "net", chip: chip.ref, pin, net: gated },
          ],
          chips: 1,
          promise: 0.8 - index / 10,
        };
      });
    });
  }

  /** Two flip-flops on the clock that looks at a signal from outside. */
  #synchronised(): readonly Change[] {
    if (this.#verdict.rule !== "asynchronous signal" && this.#verdict.rule !== "set-up") return [];
    const { chip: ref, pin, reference } = this.#verdict;
    const chip = this.#chips.get(ref);
    const [net, clock] = [chip?.nets.get(pin), chip?.nets.get(reference)];
    if (!chip || !net?.input || !clock) return [];
    const [added, synchronous] = [this.#graph.freeRef("U"), this.#graph.freeNet(net.name)];
    const between = this.#graph.freeNet(`${net.name}_SAMPLED`);
    return [
      {
        what: `${added}: ${net.name} goes through two flip-flops on ${clock.name} before ${ref} ${pin}`,
        kind: "synchroniser",
        edits: [
          {
            kind: "chip",
            chip: added,
            part: "74AHCT74",
            note: `brings ${net.name} into step`,
            pins: {
              "1CLK, 2CLK": clock.name,
              "1D": net.name,
              "1Q": between,
              "2D": between,
              "2Q": synchronous,
              "1Q#, 2Q#": "open",
              "1PRE#, 1CLR#, 2PRE#, 2CLR#": "high",
            },
          },
          { kind: "net", chip: ref, pin, net: synchronous },
        ],
        chips: 1,
        promise: 1.8,
      },
    ];
  }

  #pulledUp(): readonly Change[] {
    const { rule, net } = this.#verdict;
    if (rule !== "undriven") return [];
    const ref = this.#graph.freeRef("R");
    return [
      {
        what: `${ref}: 10 kohm from ${net} to the supply`,
        kind: "pull-up",
        edits: [{ kind: "passive", ref, value: "10 kohm", between: [net, "high"], note: `holds ${net}` }],
        chips: 0,
        promise: 1.1,
      },
    ];
  }

  /** A buffer for the receivers of a net that do not count, where the net's load makes its driver slow. */
  #splitLoads(): readonly Change[] {
    return this.#steps.flatMap((step): readonly Change[] => {
      const net = this.#chips.get(step.chip)?.nets.get(step.to);
      if (!net || step.used !== "max" || net.receivers.length < 4) return [];
      const counted = new Set([
        ...this.#steps.map(({ chip, from }) => `${chip} ${from}`),
        `${this.#verdict.chip} ${this.#verdict.pin}`,
        `${this.#verdict.chip} ${this.#verdict.reference}`,
      ]);
      const others = net.receivers.filter(({ chip, pin }) => !counted.has(`${chip.ref} ${pin}`));
      if (others.length === 0 || others.length === net.receivers.length) return [];
      const [ref, buffered] = [this.#graph.freeRef("U"), this.#graph.freeNet(net.name)];
      return [
        {
          what: `${ref}: a gate drives ${others.length} of the inputs on ${net.name}`,
          kind: "split load",
          edits: [
            gate(ref, "74AHCT08", `second driver of ${net.name}`, net.name, net.name, buffered),
            ...others.map(({ chip, pin }): Edit => ({ kind: "net", chip: chip.ref, pin, net: buffered })),
          ],
          chips: 1,
          promise: 0.6,
        },
      ];
    });
  }
}

/** Inputs of the same gate, or what all registers of the chip take in. */
function alike({ part: { behaviour } }: Chip, pin: string): readonly string[] {
  const data = requirementsOf(behaviour)
    .windows.filter(({ ends }) => ends === "clock")
    .map((window) => window.pin);
  const gates = behaviour.outputs.map(({ value }) => namesIn(value));
  return [data, ...gates].find((pins) => pins.includes(pin)) ?? [];
}

/** Whether a register's bit takes in, or not, what it gives itself. */
function takesItself({ part: { behaviour }, nets }: Chip, pin: string, net: Net): boolean {
  const own = requirementsOf(behaviour).windows.filter((window) => window.pin === pin && window.ends === "clock");
  const bits = own.flatMap(({ storage }) => storage);
  return behaviour.outputs.some(
    (output) => nets.get(output.pin)?.id === net.id && namesIn(output.value).some((name) => bits.includes(name)),
  );
}
