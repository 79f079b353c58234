import type { Circuit, Net } from "../circuit/index.js";
import { arcsOf, isMissing } from "../parts/index.js";
import type { Fs } from "../quantity/index.js";
import { arcKey } from "../simulation/index.js";
import type { Verdict } from "../timing/index.js";
import type { Corner, End } from "./corner.js";
import type { Rest } from "./scene.js";

/** The delays of a board on which one input of a gate comes early or late, and the others do not. */
export interface Race {
  readonly corner: Corner;
  readonly rest: Rest;
}

/** How all other delays lie, and to which end the one input's go: from what glitches least to what glitches most. */
const WAYS: readonly (readonly [Rest, End])[] = [
  ["typical", "max"],
  ["typical", "min"],
  ["earliest", "max"],
  ["latest", "min"],
];

/**
 * Boards on which the inputs of what drives a glitching net come in another order than on most: each input in turn late and
 * the others early, or the other way round.
 */
export function racesTo(circuit: Circuit, { net: name }: Pick<Verdict, "net">): readonly Race[] {
  const net = circuit.nets.find((one) => one.name === name);
  const gates = (net?.drivers ?? []).flatMap(({ chip, pin }) => {
    const inputs = arcsOf(chip.part.behaviour).filter(({ to }) => to === pin);
    return inputs.map(({ from }) => ({ chip, input: from }));
  });
  const places = [...new Map(gates.map((gate) => [`${gate.chip.ref} ${gate.input}`, gate])).values()];
  return WAYS.flatMap(([rest, end]) =>
    places.flatMap(({ chip, input }) => {
      const driven = chip.nets.get(input);
      return driven ? [{ rest, corner: cornerAt(driven, end) }] : [];
    }),
  );
}

/** What drives a net as quick or as slow as it can be. */
function cornerAt(net: Net, end: End): Corner {
  const arcs = new Map<string, Fs>();
  for (const { chip, pin } of net.drivers) {
    for (const arc of arcsOf(chip.part.behaviour)) {
      if (arc.to !== pin) continue;
      for (const { edge, change } of arc.moves) {
        const figure = chip.part.figures.delay(arc.from, edge, pin, change);
        if (!isMissing(figure)) arcs.set(arcKey(chip.ref, arc.from, edge, pin, change), figure[end]);
      }
    }
  }
  return { arcs, wires: new Map() };
}
