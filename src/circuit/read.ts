import { readAcceptances } from "./acceptances.js";
import { wireDelayOf } from "./build-styles.js";
import { checkNets } from "./check-nets.js";
import { readChips } from "./chips.js";
import type { Circuit } from "./circuit.js";
import { FileContext } from "./file-context.js";
import { type FindRaster, readHeader } from "./header.js";
import { readInputs } from "./inputs.js";
import { findPart } from "../parts/index.js";
import { readMasters } from "./masters/read.js";
import * as say from "./messages.js";
import { readMeasured } from "./measured.js";
import { readMetastability } from "./metastability.js";
import { type OwnPartsText, catalogueWith, readNamedParts, warnOfUnused } from "./own-parts/use.js";
import { readPassives } from "./passives.js";
import { readPicture, readToCome } from "./picture.js";
import { NOWHERE, type Places, placesOf } from "./places.js";
import type { Problem } from "./problem.js";
import { Report } from "./report.js";
import { sectionsOf } from "./sections.js";
import { readYaml } from "./source.js";
import { checkStructure, refuseSize } from "./structure.js";
import { type FindPart, wireChips } from "./wiring.js";

export interface ReadOptions {
  /** The catalogue of parts; the project's own unless given. */
  readonly findPart?: FindPart;
  /** Finds a published raster by its name. Without it any name is taken. */
  readonly findRaster?: FindRaster;
  /** The own parts file that the circuit file names (see `ownPartsNamed`), as it was read. */
  readonly ownParts?: OwnPartsText;
}

export interface CircuitReading {
  /** Absent where one of the problems is an error. */
  readonly circuit?: Circuit;
  /** All mistakes and doubts, in the order of the file; those of its own parts file follow. */
  readonly problems: readonly Problem[];
  readonly places: Places;
}

/**
 * Reads a circuit file. Never throws for any text; every mistake is a problem with its place. `fileName` is only for the
 * messages.
 */
export function readCircuit(text: string, fileName: string, options: ReadOptions = {}): CircuitReading {
  const report = new Report(text, fileName);

  // 1. Text to values with places; refuses what is no YAML or made to exhaust the reader.
  const source = readYaml(text, report);
  if (!source) return { problems: report.problems, places: NOWHERE };
  if (refuseSize(source, report)) return { problems: report.problems, places: NOWHERE };

  // 2. Values to sections of the right shape.
  const context = new FileContext(source, report);
  const { root, isWhole } = checkStructure(source, report);
  const sections = sectionsOf(root);

  // 3. The whole board's quantities, and chips on nets.
  const header = readHeader(sections, context, options.findRaster);
  const own = readNamedParts(sections.ownParts, options.ownParts, context);
  const problems = () => [...report.problems, ...(own?.problems ?? [])];
  const written = readChips(sections, (ref) => isWhole("chips", ref), context);
  if (report.isOverfull) return { problems: problems(), places: NOWHERE };
  const conditions = {
    supplyVolts: header.supplies[0].volts,
    ambientCelsius: header.ambientCelsius,
    makers: header.makers,
    unstatedMinimum: { fractionOfTypical: header.fractionOfTypical },
  };
  const find = own ? catalogueWith(own, sections.ownParts ?? "") : (options.findPart ?? findPart);
  const wiring = wireChips(written, header.supplies, conditions, find, report);
  const { chips, nets } = wiring;
  readMeasured(sections, chips, context);
  if (nets.isOverfull) return { problems: problems(), places: NOWHERE };

  // 4. What the circuit has to do with the outside.
  const inputs = readInputs(sections, nets, header.supplies, context);
  const { masters, inputs: mastered } = readMasters(sections, wiring, wireDelayOf(header.build), context);
  const toCome = readToCome(sections, nets, context);
  const { picture, shown, isComplete } = readPicture(sections, nets, context);
  const numbers = [...new Set(written.flatMap(({ part }) => part ?? []))];
  const passives = readPassives(sections, new Set(written.map(({ ref }) => ref)), nets, context);
  const accepted = readAcceptances(sections, context);
  const metastability = readMetastability(sections, numbers, context, (part) => report.suggest(part, () => numbers));

  // 5. What only the whole can tell.
  checkNets(wiring, { shown: isComplete ? shown : "unknown", passives }, report);
  checkCompleteness();
  if (own && !own.hasErrors) warnOfUnused(own, chips, conditions, context);

  const places = placesOf(written, wiring, report);
  if (report.hasErrors || own?.hasErrors) return { problems: problems(), places };
  const circuit: Circuit = {
    title: header.title,
    supplyVolts: header.supplies[0].volts,
    supplies: header.supplies,
    ambientCelsius: header.ambientCelsius,
    unstatedMinimum: conditions.unstatedMinimum,
    makers: header.makers,
    build: header.build,
    raster: header.raster,
    chips,
    nets: nets.all,
    passives,
    inputs: [...inputs, ...mastered],
    masters,
    metastability,
    accepted,
    ...(picture ? { picture } : {}),
    wireDelay: wireDelayOf(header.build),
    allowedContention: header.allowedContention,
    ...(header.allowedUndriven === undefined ? {} : { allowedUndriven: header.allowedUndriven }),
    toCome,
  };
  return { circuit, problems: problems(), places };

  function checkCompleteness(): void {
    if (written.length === 0) {
      if (isWhole("chips")) context.complain(["chips"], say.noChips());
      return;
    }
    for (const part of header.makers.keys()) {
      if (!numbers.includes(part)) {
        context.complainOfKey(
          ["makers", part],
          say.unknownMaker(
            part,
            report.suggest(part, () => numbers),
          ),
        );
      }
    }
    const hasOscillator = chips.some(({ part }) => part.behaviour.clockSource);
    if (!hasOscillator && chips.length === written.length) context.complainOfKey(["chips"], say.noOscillator());
    if (!sections.picture) context.complainOfKey(["raster"], say.noPicture());
  }
}
