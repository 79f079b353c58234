import { z } from "zod";
import * as say from "./messages.js";
import { LIMITS } from "./limits.js";
import type { Report } from "./report.js";
import type { Source } from "./source.js";
import type { Path, Value } from "./value.js";
import { circuitFile } from "./shape.js";

type Schema = z.core.$ZodType;
type Issue = z.core.$ZodIssue;

export interface Structure {
  /** The file's value without the parts that differ from the shape. */
  readonly root: Value;
  /** Whether nothing was left out of a section, or of an entry of a section: of chip `U7` in `chips`. */
  readonly isWhole: (section: string, entry?: string | number) => boolean;
}

/** Refuses a file with more chips than any board has. */
export function refuseSize(source: Source, report: Report): boolean {
  const chips = valueAt(source.root, ["chips"]);
  const tooMany = typeof chips === "object" && chips !== null && Object.keys(chips).length > LIMITS.chips;
  if (tooMany) report.add(source.keyAt(["chips"]), say.tooMany("chips", LIMITS.chips));
  return tooMany;
}

/**
 * Compares a file's value with the shape of its kind of file, reports every difference, and returns the value without the
 * parts that differ, so that what follows can still look for mistakes in the rest.
 */
export function checkStructure(source: Source, report: Report, shape: z.ZodType = circuitFile): Structure {
  const issues = shape.safeParse(source.root).error?.issues ?? [];
  const wrong: Path[] = [];
  for (const issue of issues) explain(issue, shape, source.root, [], source, report, wrong);
  leaveOut(source.root, wrong);
  const touched = new Set(
    wrong.flatMap(([section, entry]) => [JSON.stringify([section]), JSON.stringify([section, entry])]),
  );
  const key = (section: string, entry?: string | number) =>
    JSON.stringify(entry === undefined ? [section] : [section, entry]);
  const isMap = !wrong.some((path) => path.length === 0);
  return { root: source.root, isWhole: (section, entry) => isMap && !touched.has(key(section, entry)) };
}

/** Reports one issue, found at `base` in the file, and notes which parts to leave out. */
function explain(
  issue: Issue,
  schema: Schema,
  value: Value,
  base: Path,
  source: Source,
  report: Report,
  wrong: Path[],
): void {
  const steps = issue.path.filter((step) => typeof step !== "symbol");
  const path = [...base, ...steps];
  const here = schemaAt(schema, steps);
  const found = valueAt(value, steps);
  if (issue.code === "unrecognized_keys") {
    const known = here instanceof z.ZodObject ? Object.keys(here.shape) : [];
    const unused = known.filter((name) => valueAt(value, [...steps, name]) === undefined);
    for (const key of issue.keys) {
      const place = [...path, key];
      wrong.push(place);
      if (report.isFull) continue;
      report.add(
        source.keyAt(place),
        say.unknownKey(
          key,
          path,
          known,
          report.suggest(key, () => unused),
        ),
      );
    }
    return;
  }
  if (issue.code === "invalid_union" && here instanceof z.ZodUnion) {
    const branch = bestBranch(here.options, found);
    const nested = branch ? z.safeParse(branch, found).error?.issues : undefined;
    if (branch && nested) {
      for (const inner of nested) explain(inner, branch, found ?? null, path, source, report, wrong);
      return;
    }
  }
  wrong.push(path);
  if (found === undefined) {
    report.add(source.keyAt(path), say.missingKey(path, exampleOf(here)));
  } else if (issue.code === "invalid_value") {
    const values = issue.values.map(String);
    report.add(
      source.valueAt(path),
      say.notOneOf(
        path,
        found,
        values,
        report.suggest(textOf(found), () => values),
      ),
    );
  } else {
    report.add(source.valueAt(path), say.wrongType(path, found, kindsOf(here), exampleOf(here)));
  }
}

/** Of several shapes, the one that a value most likely tries to have. */
function bestBranch(options: readonly Schema[], value: Value | undefined): Schema | undefined {
  if (Array.isArray(value)) return options.find((option) => option instanceof z.ZodArray);
  if (typeof value === "string") return options.find((option) => option instanceof z.ZodEnum);
  if (typeof value !== "object" || value === null) return undefined;
  const keys = Object.keys(value);
  const score = (option: Schema) => {
    if (option instanceof z.ZodRecord) return 0.5;
    if (!(option instanceof z.ZodObject)) return 0;
    return keys.filter((key) => Object.hasOwn(option.shape, key)).length;
  };
  let best: Schema | undefined;
  for (const option of options) if (score(option) > (best ? score(best) : 0)) best = option;
  return best;
}

function unwrap(schema: Schema): Schema {
  return schema instanceof z.ZodOptional || schema instanceof z.ZodDefault ? unwrap(schema.unwrap()) : schema;
}

function schemaAt(schema: Schema, path: Path): Schema | undefined {
  let at: Schema | undefined = unwrap(schema);
  for (const step of path) {
    if (at instanceof z.ZodObject) at = (at.shape as Readonly<Record<string, Schema>>)[step];
    else if (at instanceof z.ZodRecord) at = at.valueType;
    else if (at instanceof z.ZodArray) at = at.element;
    else return undefined;
    at &&= unwrap(at);
  }
  return at;
}

/** What a schema takes, in words: `text`, `a list`, `a map`. */
function kindsOf(schema: Schema | undefined): readonly string[] {
  if (schema instanceof z.ZodUnion) return [...new Set(schema.options.flatMap(kindsOf))];
  if (schema instanceof z.ZodObject || schema instanceof z.ZodRecord) return ["a map"];
  if (schema instanceof z.ZodArray) return ["a list"];
  if (schema instanceof z.ZodNumber) return ["a whole number above zero"];
  return schema instanceof z.ZodString ? ["text"] : [];
}

function exampleOf(schema: Schema | undefined): string | undefined {
  const examples = schema instanceof z.ZodType ? schema.meta()?.["examples"] : undefined;
  const first: unknown = Array.isArray(examples) ? examples[0] : undefined;
  if (first === undefined) return undefined;
  return typeof first === "string"
    ? first
    : JSON.stringify(first)
        .replaceAll('"', "")
        .replaceAll(/([:,])/g, "$1 ");
}

function valueAt(value: Value, path: Path): Value | undefined {
  let at: Value | undefined = value;
  for (const step of path) {
    if (typeof at !== "object" || at === null) return undefined;
    at = (at as Readonly<Record<string | number, Value | undefined>>)[step];
  }
  return at;
}

function textOf(value: Value): string {
  return typeof value === "object" ? "" : String(value);
}

/** Sections whose entries keep their names when what they say is wrong, so that other parts may refer to them. */
const ENTRY_SECTIONS: ReadonlySet<string | number> = new Set(["chips", "inputs", "passives", "functions"]);

/**
 * Takes the parts at `paths` out of a value; lists keep their indexes, so that places stay findable. The value itself is
 * changed: it was made from the file for this reading, and nobody else holds it.
 */
function leaveOut(value: Value, paths: readonly Path[]): void {
  for (const path of paths) {
    const parent = valueAt(value, path.slice(0, -1));
    const last = path.at(-1);
    if (typeof parent !== "object" || parent === null || last === undefined) continue;
    const holder = parent as Record<string | number, Value>;
    const isEntry = path.length === 2 && ENTRY_SECTIONS.has(path[0] ?? "");
    if (isEntry || Array.isArray(parent)) holder[last] = null;
    else delete holder[last];
  }
}
