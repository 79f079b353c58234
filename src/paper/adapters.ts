import type { Circuit } from "../circuit/index.js";
import { type Part, partInDip } from "../parts/index.js";

/** How a part gets onto a breadboard or a perfboard: as it is, on an adapter, or it is not on record. */
export type Mounting = "fits" | "adapter" | "not known";

/** On a printed board every package fits. */
export function mountingOf(part: Part, { build }: Pick<Circuit, "build">): Mounting {
  if (build === "printed board") return "fits";
  if (!part.package.isDual) return "adapter";
  return partInDip(part).made === "not known" ? "not known" : "fits";
}

/** What to do about parts that are not made in a dual in-line package, a sentence or two each; before the first wire. */
export function adapterNotes(circuit: Circuit): string[] {
  const numbers = new Map(circuit.chips.map(({ part }) => [part.number, part]));
  return [...numbers.values()].flatMap((part) => {
    const refs = circuit.chips.filter((chip) => chip.part.number === part.number).map(({ ref }) => ref);
    const mounting = mountingOf(part, circuit);
    const { remark, source } = partInDip(part);
    const reason = [remark, source].filter((text) => text !== "").join("; ");
    if (mounting === "adapter") {
      return [
        `${part.number} (${refs.join(", ")}) is made as ${part.package.name}, not in a DIP (${reason}). On a ` +
          `${circuit.build} it needs an adapter: solder it on and check every pin before you plug it in.`,
      ];
    }
    if (mounting === "fits") return [];
    return [
      `Whether ${part.number} (${refs.join(", ")}) is made in a DIP is not on record (${reason}). Look before you ` +
        `order; if not, on a ${circuit.build} it needs an adapter.`,
    ];
  });
}
