import type { Chip, Circuit, Net } from "../../circuit/index.js";
import { namesIn, requirementsOf } from "../../parts/index.js";
import type { Verdict } from "../../timing/index.js";
import { freeNames, withCapacitors } from "./added-chips.js";
import type { Change } from "./change.js";
import type { Edit } from "./edits.js";
import { GateMaker } from "./gate-maker.js";
import { type RegisterGraph, freeNetName } from "./register-graph.js";

/** Parts of the stages: the chain of a synchroniser in one chip, and ranks of eight with outputs that may let go. */
const [CHAIN, RANK, GATE] = ["74ACT174", "74AHCT574", "74AHCT08"];
/** Flip-flops of the chain, which is one chip: so long that what the register shows rests when the last one rises. */
const STAGES = 6;
/** Taps tried for the edge at which the last rank shows something else. */
const MOST_TAPS = 6;

/** A register that something outside clocks and that shows into the circuit while an enable is low. */
interface Shown {
  readonly chip: Chip;
  readonly strobe: Net;
  readonly enable: string;
  readonly outputs: readonly { readonly pin: string; readonly net: Net }[];
}

/**
 * Hands what a register shows at a strobe from outside over to the circuit's own time: the strobe goes through a chain of
 * flip-flops, its end clocks a rank that takes over what the register shows, and a tap clocks the rank that shows it: at the same
 * place of each cycle, when nobody looks. All registers of that strobe together.
 */
export function handOvers(circuit: Circuit, graph: RegisterGraph, { chains }: Verdict): readonly Change[] {
  const shown = circuit.chips.flatMap(shownRegister);
  const steps = [...(chains?.earlier ?? []), ...(chains?.later ?? [])];
  const strobes = new Set(
    shown.filter(({ chip }) => steps.some((step) => step.chip === chip.ref)).map(({ strobe }) => strobe),
  );
  return [...strobes].flatMap((strobe) => {
    const own = shown.filter((one) => one.strobe === strobe);
    const enables = [...new Set(own.flatMap(({ chip, enable }) => chip.nets.get(enable) ?? []))];
    const near = enables.flatMap((enable) => [enable, ...graph.near(enable, 2 * MOST_TAPS)]);
    const taps = [...new Set(near)].filter((net) => graph.outputs.includes(net)).slice(0, MOST_TAPS);
    const clocks = [...new Set(taps.flatMap((tap) => graph.clocksBeside(tap)))].filter(
      (net) => net !== strobe && !taps.includes(net),
    );
    const edges = [...new Set(clocks.flatMap((clock) => [...graph.near(clock, 1), clock]))];
    return taps.flatMap((tap, index) =>
      edges.map((clock, at) => change(circuit, strobe, own, clock, tap, 1.9 - index / 20 - at / 50)),
    );
  });
}

function shownRegister(chip: Chip): readonly Shown[] {
  const { behaviour } = chip.part;
  const registers = new Set(behaviour.storage.flatMap(({ kind, name }) => (kind === "register" ? [name] : [])));
  const outputs = behaviour.outputs.flatMap(({ pin, value, enable }) => {
    const net = chip.nets.get(pin);
    const names = enable ? namesIn(enable) : [];
    const isShown = net && net.drivers.length > 1 && namesIn(value).some((name) => registers.has(name));
    return isShown && names.length === 1 ? [{ pin, net, enable: names[0] ?? "", bits: namesIn(value) }] : [];
  });
  const [first] = outputs;
  if (!first || outputs.some(({ enable }) => enable !== first.enable) || chip.supply.name !== "main") return [];
  const clocks = requirementsOf(behaviour)
    .windows.filter(({ ends, storage }) => ends === "clock" && storage.some((bit) => first.bits.includes(bit)))
    .map(({ reference }) => chip.nets.get(reference));
  const strobe = clocks.find((net) => net?.input);
  return strobe && first.enable.endsWith("#") ? [{ chip, strobe, enable: first.enable, outputs }] : [];
}

function change(circuit: Circuit, strobe: Net, shown: readonly Shown[], clock: Net, tap: Net, promise: number): Change {
  const nets = circuit.nets.map(({ name }) => name);
  const fresh = (stem: string) => {
    const name = freeNetName(nets, stem);
    nets.push(name);
    return name;
  };
  const gates = new GateMaker(circuit);
  const start = fresh(strobe.name);
  // The strobe clocks the registers too; what is brought into step is a net of its own.
  gates.pass(GATE, `${strobe.name} for its synchroniser`, strobe.name, start);
  const taken = [...circuit.chips.map(({ ref }) => ref), ...gates.refs];
  const [chain = "", ...ranks] = freeNames(taken, "U", 1 + 2 * shown.length);
  const stages = Array.from({ length: STAGES }, () => fresh(strobe.name));
  const last = stages.at(-1) ?? start;
  const pairs = stages.flatMap((net, index) => [
    [`${index + 1}D`, stages[index - 1] ?? start],
    [`${index + 1}Q`, net],
  ]);
  const edits: Edit[] = [
    ...gates.edits,
    {
      ...{ kind: "chip", chip: chain, part: CHAIN, note: `brings ${strobe.name} into step` },
      pins: { CLK: clock.name, "CLR#": "high", ...Object.fromEntries(pairs) },
    },
  ];
  shown.forEach(({ chip, enable, outputs }, index) => {
    const [taking = "", showing = ""] = ranks.slice(2 * index);
    const own = outputs.map(({ pin, net }) => ({ pin, net: net.name, before: fresh(net.name), kept: fresh(net.name) }));
    edits.push(
      ...own.map(({ pin, before }): Edit => ({ kind: "net", chip: chip.ref, pin, net: before })),
      { kind: "net", chip: chip.ref, pin: enable, net: "low" },
      rank(
        taking,
        `takes over what ${chip.ref} shows`,
        last,
        "low",
        own.map(({ before, kept }) => [before, kept]),
      ),
      rank(
        showing,
        `shows it from ${tap.name} on`,
        tap.name,
        chip.nets.get(enable)?.name ?? "low",
        own.map(({ kept, net }) => [kept, net]),
      ),
    );
  });
  const refs = shown.map(({ chip }) => chip.ref).join(", ");
  return {
    what: `${[...gates.refs, chain, ...ranks].join(", ")}: what ${refs} show at ${strobe.name} is taken over in step with ${clock.name} and shown as ${tap.name} rises`,
    kind: "hand-over",
    edits: withCapacitors(circuit, edits),
    chips: gates.added + 1 + ranks.length,
    promise,
  };
}

function rank(chip: string, note: string, clock: string, enable: string, bits: readonly (readonly string[])[]): Edit {
  const pins: Record<string, string> = { CLK: clock, "OE#": enable };
  for (let bit = 0; bit < 8; bit++) {
    const [data = "low", output = "open"] = bits[bit] ?? [];
    pins[`${bit + 1}D`] = data;
    pins[`${bit + 1}Q`] = output;
  }
  return { kind: "chip", chip, part: RANK, note, pins };
}
