import type { Chip, Circuit } from "../../circuit/index.js";
import { type Part, families, findPart, functionsOf, isMissing, isPartProblem } from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";
import type { ChainStep, Verdict } from "../../timing/index.js";
import { withCapacitors } from "./added-chips.js";
import { conditionsFor } from "./gain.js";
import { GateMaker } from "./gate-maker.js";
import { freeNetName } from "./register-graph.js";
import { type StandIn, runsFrom } from "./stand-in.js";

/** A gate of two inputs that passes a signal on. */
export interface PassingGate {
  readonly part: Part;
  /** Limits over both edges, in nanoseconds. */
  readonly least: number;
  readonly most: number;
}

/** Functions that pass on what stands at both inputs. */
const PASSING = ["08", "32"];

/** Gates that pass a signal on, of every family that runs from a chip's supply. */
export function passingGates(circuit: Circuit, chip: Chip): readonly PassingGate[] {
  return PASSING.flatMap((fn) =>
    families
      .filter((family) => functionsOf(family).includes(fn) && runsFrom(chip, family, fn))
      .flatMap((family): readonly PassingGate[] => {
        const part = findPart(`74${family}${fn}`, conditionsFor(circuit, chip));
        if (isPartProblem(part) || !part.package.isDual) return [];
        const edges = (["rise", "fall"] as const).map((edge) => part.figures.delay("1A", edge, "1Y", edge));
        const known = edges.flatMap((delay) => (isMissing(delay) ? [] : [delay]));
        if (known.length < edges.length) return [];
        return [
          {
            part,
            least: Math.min(...known.map(({ min }) => inNs(min))),
            most: Math.max(...known.map(({ max }) => inNs(max))),
          },
        ];
      }),
  );
}

/** A gate before a pin, which holds up what comes to it: where something is over too soon. */
export function delayingGates(circuit: Circuit, chip: Chip, pin: string): readonly StandIn[] {
  const net = chip.nets.get(pin);
  if (!net || net.rail || chip.supply.name !== "main") return [];
  return passingGates(circuit, chip).map((gate): StandIn => {
    const maker = new GateMaker(circuit);
    const late = freeNetName(
      circuit.nets.map(({ name }) => name),
      net.name,
    );
    maker.pass(gate.part.number, `holds up ${net.name}`, net.name, late);
    const edits = [...maker.edits, { kind: "net", chip: chip.ref, pin, net: late } as const];
    return {
      key: gate.part.number,
      change: {
        what: `${maker.refs.join(", ")}: a gate of a ${gate.part.number} before ${chip.ref} ${pin}, which holds up ${net.name}`,
        kind: "delay",
        edits: withCapacitors(circuit, edits),
        chips: maker.added,
        promise: 1,
      },
      gain: (verdict) => gainBefore(verdict, (step) => step.to === `${chip.ref} ${pin}`, gate),
    };
  });
}

/** What a margin gains where one gate comes before some pins, by the wires to them. */
export function gainBefore(
  { rule, chains }: Verdict,
  isBehind: (wire: ChainStep) => boolean,
  gate: PassingGate,
): number {
  const behind = (chain: readonly ChainStep[] = []) => chain.filter((step) => step.kind === "wire" && isBehind(step));
  const [earlier, later] = [behind(chains?.earlier), behind(chains?.later)];
  // A width begins with one edge of the gate and ends with the other.
  if (rule === "pulse width") return earlier.length + later.length > 0 ? gate.least - gate.most : 0;
  // Where both ways go through it, the same edge has the same delay.
  const shared = Math.min(earlier.length, later.length);
  const alone = [...earlier.slice(shared), ...later.slice(shared)].filter(({ cancelled }) => !cancelled);
  return alone.reduce((sum, { used }) => sum + (used === "max" ? -gate.most : gate.least), 0);
}
