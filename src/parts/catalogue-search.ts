import type { Fs } from "../quantity/index.js";
import { findPart, isPartProblem, listPartNumbers } from "./catalogue.js";
import type { Conditions } from "./conditions.js";
import { familyTraits } from "./family-traits.js";
import { type DipRecord, partInDip } from "./in-dip.js";
import { memoriesNamed } from "./memory-numbers.js";
import type { Part } from "./part.js";
import { parseLogicNumber, plainNumber } from "./part-number.js";
import { type SlowestArc, slowestArc } from "./slowest-arc.js";

/** What is asked of the catalogue; a part has to meet all that is given. */
export interface CatalogueQuery {
  /** Each word has to stand in the number, the title or the family's title. */
  readonly words?: string;
  /** `163`, `32Kx8`. */
  readonly function?: string;
  /** `HC`, `SRAM`; any of them. */
  readonly families?: readonly string[];
  /** The largest delay or access time allowed; parts without figures are left out. */
  readonly delay?: Fs;
  readonly pins?: number;
  /** The beginning of a package's name: `DIP`, `SO`, `DIP-16`, `SOJ`. */
  readonly package?: string;
  /** Only what this maker's sheets give. */
  readonly maker?: string;
}

export interface CatalogueEntry {
  readonly part: Part;
  /** Pins of its package that are there. */
  readonly pins: number;
  /** Its largest delay or access time; absent where no figures hold under the conditions. */
  readonly slowest?: SlowestArc;
  readonly dip: DipRecord;
}

/** Which parts are looked through, and how one is found by its number. */
export interface Searched {
  readonly numbers: readonly string[];
  readonly find: typeof findPart;
}

/** Every part of the catalogue, or of what is searched instead, that meets a query, fastest first within a function. */
export function searchCatalogue(
  query: CatalogueQuery,
  conditions: Conditions,
  { numbers, find }: Searched = { numbers: listPartNumbers(), find: findPart },
): readonly CatalogueEntry[] {
  const words = (query.words ?? "")
    .toLowerCase()
    .split(/\s+/)
    .filter((word) => word !== "");
  const families = (query.families ?? []).map((family) => family.toUpperCase());
  const entries = numbers.flatMap((number): CatalogueEntry[] => {
    const part = find(number, query.maker === undefined ? conditions : madeBy(query.maker, number, conditions));
    if (isPartProblem(part)) return [];
    const { behaviour, family } = part;
    const text =
      `${number} ${behaviour.title} ${family} ${familyTraits(family, behaviour.function)?.title ?? ""}`.toLowerCase();
    if (words.some((word) => !text.includes(word))) return [];
    if (query.function !== undefined && plainNumber(behaviour.function) !== plainNumber(query.function)) return [];
    if (families.length > 0 && !families.includes(family.toUpperCase())) return [];
    if (query.pins !== undefined && part.package.pins.length !== query.pins) return [];
    const dip = partInDip(part);
    if (query.package !== undefined && !isMadeAs(query.package, part, dip)) return [];
    const slowest = slowestArc(part);
    if (query.delay !== undefined && !(slowest && slowest.max <= query.delay)) return [];
    return [{ part, pins: part.package.pins.length, dip, ...(slowest && { slowest }) }];
  });
  const order = new Map<string, number>();
  for (const { part } of entries) {
    if (!order.has(part.behaviour.function)) order.set(part.behaviour.function, order.size);
  }
  const place = ({ part }: CatalogueEntry) => order.get(part.behaviour.function) ?? 0;
  const time = ({ slowest }: CatalogueEntry) => slowest?.max ?? Infinity;
  return entries.sort((a, b) => place(a) - place(b) || (time(a) === time(b) ? 0 : time(a) - time(b)));
}

/** The conditions with one maker's sheets for one part. */
export function madeBy(maker: string, number: string, conditions: Conditions): Conditions {
  return { ...conditions, makers: new Map([...(conditions.makers ?? []), [number, maker]]) };
}

function isMadeAs(wanted: string, part: Part, dip: DipRecord): boolean {
  const plain = (name: string) => name.toUpperCase().replaceAll(/[^A-Z0-9]/g, "");
  const listed = memoriesNamed(part.number).flatMap((row) => row.packages);
  // The pin map of a part that may not exist in a DIP still bears the DIP's name.
  const drawn = parseLogicNumber(part.number) && dip.made === "not known" ? [] : [part.package.name];
  return (listed.length > 0 ? listed : drawn).some((name) => plain(name).startsWith(plain(wanted)));
}
