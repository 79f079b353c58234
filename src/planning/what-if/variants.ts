import { type BuildStyle, type Circuit, buildStyles } from "../../circuit/index.js";
import { genericMemories, isPartProblem, findPart } from "../../parts/index.js";
import { printCelsiusRange, printVoltRange } from "../../quantity/index.js";
import { conditionsFor } from "../repair/gain.js";
import type { Edit } from "../repair/edits.js";

/** One thing about a board that could be otherwise. */
export interface Variation {
  readonly what: "ambient" | "supply" | "build" | "memory";
  /** `-40 to 85 °C`, `U9: 62256-55`. */
  readonly value: string;
  readonly edits: readonly Edit[];
}

/** The ambients that sheets have columns for. */
const AMBIENTS = ["25 °C", "0 to 70 °C", "-40 to 85 °C", "-40 to 125 °C"];
/** How far a supply may be off, in per cent. */
const SUPPLY_SPREADS = [0, 5, 10];
/** Grades of one memory at most, the nearest first. */
const MOST_GRADES = 4;

/**
 * The surroundings, ways of building and memories that a board is tried with. Of ambient and supply those that sheets have
 * figures for: between a sheet's columns nothing is interpolated.
 */
export function variationsOf(circuit: Circuit): readonly Variation[] {
  return [...ambients(circuit), ...supplies(circuit), ...builds(circuit), ...memories(circuit)];
}

function ambients({ ambientCelsius }: Circuit): readonly Variation[] {
  const now = printCelsiusRange(ambientCelsius);
  return AMBIENTS.filter((value) => value !== now).map((value) => ({
    what: "ambient",
    value,
    edits: [{ kind: "header", key: "ambient", value }],
  }));
}

function supplies({ supplies: all, supplyVolts: { min, max } }: Circuit): readonly Variation[] {
  if (all.length > 1) return [];
  const nominal = Number(((min + max) / 2).toFixed(3));
  return SUPPLY_SPREADS.map((spread) => `${nominal} V${spread === 0 ? "" : ` ± ${spread} %`}`).flatMap(
    (value, index) => {
      const half = (nominal * (SUPPLY_SPREADS[index] ?? 0)) / 100;
      const isNow = printVoltRange({ min: nominal - half, max: nominal + half }) === printVoltRange({ min, max });
      return isNow ? [] : [{ what: "supply", value, edits: [{ kind: "header", key: "supply", value }] }];
    },
  );
}

function builds({ build }: Circuit): readonly Variation[] {
  return buildStyles
    .filter((style: BuildStyle) => style !== build)
    .map((value) => ({ what: "build", value, edits: [{ kind: "header", key: "build", value }] }));
}

/** Other grades of each memory that is written. */
function memories(circuit: Circuit): readonly Variation[] {
  return circuit.chips.flatMap((chip) => {
    const { behaviour, number, package: shape } = chip.part;
    if (!behaviour.memory?.write) return [];
    const grade = gradeOf(number);
    const others = genericMemories.flatMap((name) => {
      const part = findPart(name, conditionsFor(circuit, chip));
      const fits = !isPartProblem(part) && part.behaviour === behaviour && (part.package.isDual || !shape.isDual);
      return fits && name !== number ? [name] : [];
    });
    return others
      .sort((a, b) => Math.abs(gradeOf(a) - grade) - Math.abs(gradeOf(b) - grade))
      .slice(0, MOST_GRADES)
      .sort((a, b) => gradeOf(a) - gradeOf(b))
      .map((part): Variation => ({
        what: "memory",
        value: `${chip.ref}: ${part}`,
        edits: [{ kind: "part", chip: chip.ref, part }],
      }));
  });
}

function gradeOf(number: string): number {
  return Number(/-(\d+)[A-Z]*$/i.exec(number)?.[1] ?? 0);
}
