import {
  type Conditions,
  type Part,
  type PartProblem,
  describeConditions,
  findPart,
  findPartWith,
  isPartProblem,
  plainNumber,
} from "../../parts/index.js";
import type { Chip } from "../circuit.js";
import type { FileContext } from "../file-context.js";
import { Report } from "../report.js";
import { mapOf } from "../sections.js";
import { readYaml } from "../source.js";
import type { FindPart } from "../wiring.js";
import { unusedUnder } from "./gap-warnings.js";
import * as say from "./messages.js";
import { type OwnPartsReading, readOwnParts } from "./read.js";

/** The own parts file that a circuit file names: its text, or why it cannot be read. */
export type OwnPartsText =
  { readonly file: string; readonly text: string } | { readonly file: string; readonly unreadable: string };

const KEY = "own parts";

/**
 * The own parts file that a circuit file names, so that it can be read and handed to `readCircuit`. Undefined where there is
 * none, or where `readCircuit` will refuse its name.
 */
export function ownPartsNamed(circuitText: string): string | undefined {
  if (!circuitText.includes(KEY)) return undefined;
  const source = readYaml(circuitText, new Report(circuitText, ""));
  const name = mapOf(source?.root)[KEY];
  return typeof name === "string" && isPath(name) ? name : undefined;
}

/** A path downwards or upwards from the circuit file, to a YAML file. */
function isPath(text: string): boolean {
  return /^[^/\\:\p{Cc}][^\\:\p{Cc}]*\.ya?ml$/u.test(text) && text.length <= 200;
}

/** What came of the file that a circuit file names; `isUnread` where it could not be had. */
interface NamedReading extends OwnPartsReading {
  readonly isUnread?: true;
}

const UNREAD: NamedReading = {
  stated: [],
  mentions: () => true,
  problems: [],
  hasErrors: true,
  isUnread: true,
};

/** Reads the own parts file that a circuit file names, or complains. */
export function readNamedParts(
  name: string | undefined,
  given: OwnPartsText | undefined,
  context: FileContext,
): NamedReading | undefined {
  if (name === undefined) return undefined;
  if (isPath(name) && given?.file === name && "text" in given) return readOwnParts(given.text, name);
  const why = given?.file === name && "unreadable" in given ? given.unreadable : "the file was not read";
  context.complain([KEY], isPath(name) ? say.partsNotRead(name, why) : say.badPartsPath(name));
  return UNREAD;
}

/**
 * The catalogue with what was read. While the file has mistakes, parts that it states are said to wait for it: what else
 * would be said of them follows from those mistakes.
 */
export function catalogueWith({ parts, mentions, hasErrors, isUnread }: NamedReading, file: string): FindPart {
  const find = parts ? findPartWith(parts) : findPart;
  if (!hasErrors) return find;
  return (number: string, conditions: Conditions): Part | PartProblem => {
    const found = find(number, conditions);
    if (!isPartProblem(found) || !(parts === undefined || mentions(number))) return found;
    return isUnread
      ? { problem: say.unknownWithoutParts(number, file), suggestions: [], expected: "that file" }
      : { problem: say.waitsForParts(number, file), suggestions: [], expected: "that file without mistakes" };
  };
}

/** Warns of own figures that a circuit's parts cannot use, because they hold for another supply or ambient. */
export function warnOfUnused(
  { parts, stated }: OwnPartsReading,
  chips: readonly Chip[],
  conditions: Conditions,
  context: FileContext,
): void {
  if (!parts) return;
  const seen = new Set<string>();
  for (const { part, supply } of chips) {
    const key = `${plainNumber(part.number)} ${supply.name}`;
    if (seen.has(key)) continue;
    seen.add(key);
    const under = { ...conditions, supplyVolts: supply.volts };
    const entry =
      stated.find((one) => one.family === part.family && one.function === part.behaviour.function) ??
      stated.find((one) => plainNumber(one.part) === plainNumber(part.number));
    const unused = entry ? unusedUnder(parts, part, entry, under) : [];
    if (unused.length > 0) {
      context.complain([KEY], say.notUnderTheseConditions(part.number, describeConditions(under), unused));
    }
  }
}
