import type { Behaviour } from "./behaviour.js";
import { define } from "./behaviours/define.js";
import { noFigures } from "./memory-figures.js";
import type { Package, Part } from "./part.js";
import { type Processor, gradeNamed, processorNamed, processors } from "./processors.js";

/** The processor of a part number, as a circuit file writes it: `W65C02S`, `Z80`, or of one grade, `Z84C0008`. */
export function processorPart(number: string): Part | undefined {
  const graded = gradeNamed(number);
  const record = graded?.processor ?? processorNamed(number);
  const behaviour = record && behaviours.get(record);
  if (!record || !behaviour) return undefined;
  return {
    number,
    family: "processor",
    behaviour,
    package: packageFor(record),
    figures: noFigures(number),
    processor: { record, ...(graded && { grade: graded.grade }) },
  };
}

const behaviours: ReadonlyMap<Processor, Behaviour> = new Map(
  processors.map((record) => [
    record,
    define({
      function: record.name,
      title: record.title,
      ...record.signals,
      aliases: record.aliases,
      master: { releasedBy: record.releasedBy },
    }),
  ]),
);

function packageFor({ package: { name, fromMemory, pins }, source }: Processor): Package {
  return {
    name,
    pins: Object.entries(pins).map(([number, pin]) => ({ number: Number(number), name: pin })),
    isDual: true,
    source: fromMemory
      ? { publisher: "from memory", document: "no sheet read", fromMemory }
      : { ...source, fromMemory: false },
    checked: fromMemory ? "not compared with a sheet" : "all pins",
  };
}
