import { z } from "zod";
import {
  type AcceptanceEntry,
  type ChipEntry,
  type CircuitFile,
  type InputEntry,
  type MeasuredEntry,
  type MetastabilityEntry,
  type PassiveEntry,
  type PictureEntry,
  acceptance,
  chip,
  circuitFile,
  inputTiming,
  measurement,
  metastability,
  nets,
  passive,
  picture,
} from "./shape.js";
import type { Value } from "./value.js";

/** A file's sections as far as they have the right shape: what has not is reported already, and absent here. */
export interface Sections {
  readonly title: string | undefined;
  readonly raster: string | undefined;
  readonly supply: CircuitFile["supply"] | undefined;
  readonly ambient: string | undefined;
  readonly build: CircuitFile["build"] | undefined;
  readonly unstatedMinimum: string | undefined;
  readonly makers: Readonly<Record<string, string>>;
  readonly ownParts: string | undefined;
  readonly limits: NonNullable<CircuitFile["limits"]>;
  readonly picture: Loose<PictureEntry> | undefined;
  /** An input is undefined where its timing has not the right shape. */
  readonly inputs: readonly Named<InputEntry | undefined>[];
  readonly metastability: readonly Named<Loose<MetastabilityEntry>>[];
  readonly measured: readonly Loose<MeasuredEntry>[];
  readonly accept: readonly Loose<AcceptanceEntry>[];
  readonly toCome: string | readonly string[];
  readonly chips: readonly Named<Loose<ChipEntry>>[];
  readonly passives: readonly Named<Loose<PassiveEntry>>[];
}

/** Any of the parts may be missing. */
export type Loose<T> = { readonly [K in keyof T]?: T[K] | undefined };

type Named<T> = readonly [name: string, entry: T];

const loose = {
  picture: picture.partial(),
  metastability: metastability.partial(),
  measurement: measurement.partial(),
  acceptance: acceptance.partial(),
  chip: chip.partial(),
  passive: passive.partial(),
  netList: nets("Nets."),
} as const;

/** Takes the sections out of a value that `checkStructure` has gone through. */
export function sectionsOf(root: Value): Sections {
  const file = mapOf(root);
  const { shape } = circuitFile;
  return {
    title: take(z.string(), file["title"]),
    raster: take(z.string(), file["raster"]),
    supply: take(shape.supply.unwrap(), file["supply"]),
    ambient: take(z.string(), file["ambient"]),
    build: take(shape.build.unwrap(), file["build"]),
    unstatedMinimum: take(z.string(), file["unstated minimum delays"]),
    makers: take(shape.makers.unwrap(), file["makers"]) ?? {},
    ownParts: take(z.string(), file["own parts"]),
    limits: take(shape.limits.unwrap(), file["limits"]) ?? {},
    picture: take(loose.picture, file["picture"]),
    inputs: Object.entries(mapOf(file["inputs"])).map(([name, entry]) => [name, take(inputTiming, entry)]),
    metastability: Object.entries(mapOf(file["metastability"])).map(([name, entry]) => [
      name,
      take(loose.metastability, entry) ?? {},
    ]),
    measured: listOf(file["measured"]).map((entry) => take(loose.measurement, entry) ?? {}),
    accept: listOf(file["accept"]).map((entry) => take(loose.acceptance, entry) ?? {}),
    toCome: take(loose.netList, file["to come"]) ?? [],
    chips: Object.entries(mapOf(file["chips"])).map(([name, entry]) => [name, take(loose.chip, entry) ?? {}]),
    passives: Object.entries(mapOf(file["passives"])).map(([name, entry]) => [name, take(loose.passive, entry) ?? {}]),
  };
}

/** The value where it has the right shape; what has not is reported already. */
export function take<T>(schema: z.ZodType<T>, value: Value | undefined): T | undefined {
  return value === undefined ? undefined : schema.safeParse(value).data;
}

export function mapOf(value: Value | undefined): Readonly<Record<string, Value>> {
  if (typeof value !== "object" || value === null || Array.isArray(value)) return {};
  return value as Readonly<Record<string, Value>>;
}

export function listOf(value: Value | undefined): readonly Value[] {
  return Array.isArray(value) ? (value as readonly Value[]) : [];
}
