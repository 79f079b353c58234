import { type Chip, type Circuit, drivesNet } from "../../circuit/index.js";
import type { ElectricalVerdict } from "../../electrical/index.js";
import { type Substitute, requirementsOf, substitutesFor } from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";
import type { ChainStep, Verdict } from "../../timing/index.js";
import type { Change } from "./change.js";
import type { Edit } from "./edits.js";
import { flipFlop, gate, withCapacitors } from "./added-chips.js";
import { type ControlPin, controlPins, netsOfOtherEnables } from "./control-pins.js";
import { conditionsFor, gainOf } from "./gain.js";
import { handOvers } from "./hand-over.js";
import { RegisterGraph } from "./register-graph.js";
import { partChange } from "./stand-in.js";
import { wholeEnables } from "./whole-enables.js";

/** Nets tried in the place of one. */
const MOST_TAPS = 40;
/** Parts tried in the place of one. */
const MOST_PARTS = 4;

/** Changes for each of some failing verdicts, the most promising first. */
export function candidatesFor(circuit: Circuit, verdicts: readonly Verdict[]): readonly (readonly Change[])[] {
  const graph = new RegisterGraph(circuit);
  const known = new Map<Chip, readonly Substitute[]>();
  const substitutes = (chip: Chip) => {
    const found = known.get(chip) ?? substitutesFor(chip.part, conditionsFor(circuit, chip));
    known.set(chip, found);
    return found;
  };
  return verdicts.map((verdict) => {
    const seen = new Set<string>();
    return new CandidateFinder(circuit, graph, substitutes, verdict)
      .all()
      .filter(({ edits }) => {
        const key = JSON.stringify(edits);
        return !seen.has(key) && seen.add(key);
      })
      .sort((a, b) => b.promise - a.promise || a.chips - b.chips);
  });
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

class CandidateFinder {
  readonly #circuit: Circuit;
  readonly #graph: RegisterGraph;
  readonly #substitutes: (chip: Chip) => readonly Substitute[];
  readonly #verdict: Verdict;
  readonly #chips: ReadonlyMap<string, Chip>;
  readonly #steps: readonly ChainStep[];
  readonly #pins: readonly ControlPin[];

  constructor(
    circuit: Circuit,
    graph: RegisterGraph,
    substitutes: (chip: Chip) => readonly Substitute[],
    verdict: Verdict,
  ) {
    this.#circuit = circuit;
    this.#graph = graph;
    this.#substitutes = substitutes;
    this.#verdict = verdict;
    this.#chips = new Map(circuit.chips.map((chip) => [chip.ref, chip]));
    const { chains } = verdict;
    this.#steps = [...(chains?.earlier ?? []), ...(chains?.later ?? [])].filter(
      ({ kind, cancelled }) => kind === "arc" && !cancelled,
    );
    this.#pins = controlPins(circuit, verdict, this.#steps);
  }

  all(): readonly Change[] {
    // What the whole board does wrong is wired wrong somewhere.
    if (this.#verdict.chip === "" && this.#verdict.net === "") return this.#otherTaps();
    return [
      ...this.#otherParts(),
      ...this.#partsOnTheWay(),
      ...this.#otherTaps(),
      ...wholeEnables(this.#circuit, this.#graph, this.#verdict),
      ...handOvers(this.#circuit, this.#graph, this.#verdict),
      ...[
        ...this.#registered(),
        ...this.#deadTime(),
        ...this.#synchronised(),
        ...this.#pulledUp(),
        ...this.#splitLoads(),
      ].map((change) => ({ ...change, edits: withCapacitors(this.#circuit, change.edits) })),
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
      const { part } = chip;
      const changes = this.#substitutes(chip)
        .filter(({ part: other }) => other.package.isDual || !part.package.isDual)
        .filter(({ differences }) => !differences.some(isOfSupply))
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

  /** Parts for gates that the processor's times stand for: no chain goes through these. The fastest first, but one that may be too soon. */
  #partsOnTheWay(): readonly Change[] {
    const counted = new Set(this.#involved());
    const own = this.#pins.map(({ chip }) => chip).filter((chip) => !counted.has(chip) && isMadeForProcessor(chip));
    return [...new Set(own)].flatMap((chip) =>
      this.#substitutes(chip)
        .filter(({ part, differences }) => part.behaviour === chip.part.behaviour && !differences.some(isOfSupply))
        .slice(0, 2 * MOST_PARTS)
        .map(({ part }, index) => partChange(chip, part.number, 1.45 - index / 20)),
    );
  }

  #shortNs(): number {
    const { margin } = this.#verdict;
    return margin === undefined ? 10 : Math.max(0.1, -inNs(margin));
  }

  /** The clocks, enables and data inputs on the chains, each with nets that carry the same earlier, later or turned over. */
  #otherTaps(): readonly Change[] {
    return this.#pins.flatMap(({ chip, pin, net }, place) => {
      const isClock = requirementsOf(chip.part.behaviour).clocks.some((clock) => clock.pin === pin);
      // What somebody made and nobody uses was made for something; then the nearest; what gates cut off from it comes last.
      const near = [
        ...new Set([
          ...this.#graph.unread,
          ...netsOfOtherEnables(chip, pin),
          ...this.#graph.near(net, MOST_TAPS),
          ...this.#graph.outputs,
        ]),
      ].slice(0, MOST_TAPS);
      const nets = isClock ? [...new Set([...near.slice(0, 4), ...this.#graph.clocks, ...near])] : near;
      return nets
        .filter((other) => other.id !== net.id)
        .map((other, index): Change => ({
          what: `${chip.ref} ${pin}: ${other.name} in place of ${net.name}`,
          kind: "tap or edge",
          edits: [{ kind: "net", chip: chip.ref, pin, net: other.name }],
          chips: 0,
          promise: (this.#graph.unread.includes(other) ? 1.9 : 1.5) - index / 10 - place / 20,
        }));
    });
  }

  /** A flip-flop before a pin, clocked by each clock of the neighbourhood. */
  #registered(): readonly Change[] {
    return this.#pins.flatMap(({ chip, pin, net }, place) => {
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
    return this.#pins.flatMap(({ chip, pin, net }) => {
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

function isOfSupply(difference: string): boolean {
  return difference.includes("supply");
}

/** Whether a chip makes a net of which a processor's times say what happens on it. */
function isMadeForProcessor({ part: { behaviour }, nets }: Chip): boolean {
  return behaviour.outputs.some(({ pin }) => {
    const net = nets.get(pin);
    return net !== undefined && !drivesNet(net);
  });
}
