import { markdownCell } from "./markdown-cell.js";

/** A JSON Schema as far as the two file formats use it. */
export interface SchemaNode {
  readonly type?: string;
  readonly description?: string;
  readonly default?: unknown;
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly examples?: readonly unknown[];
  readonly minimum?: number;
  readonly maximum?: number;
  readonly properties?: { readonly [key: string]: SchemaNode };
  readonly required?: readonly string[];
  readonly additionalProperties?: SchemaNode | boolean;
  readonly items?: SchemaNode;
  readonly anyOf?: readonly SchemaNode[];
}

export interface ReferenceText {
  readonly title: string;
  /** Paragraphs between the title and the first key. */
  readonly opening: readonly string[];
  /** What stands in place of a key that the builder names, by the key that holds it: `chips` to `NAME`. */
  readonly placeholders: { readonly [key: string]: string };
}

/** Every key of a file format with what it means, its default and an example, as a page in Markdown. */
export function schemaReference(schema: object, { title, opening, placeholders }: ReferenceText): string {
  const whole: SchemaNode = schema;
  const keys = Object.entries(whole.properties ?? {});
  return [
    `# ${title}`,
    "",
    ...opening.flatMap((paragraph) => [paragraph, ""]),
    ...keys.flatMap(([key, node]) => [
      `## ${key}`,
      "",
      ...described(node, whole.required?.includes(key) ?? false),
      ...inner(key, node, placeholders),
    ]),
  ].join("\n");
}

function described(node: SchemaNode, isRequired: boolean): string[] {
  const facts = [
    isRequired ? "Required." : node.default === undefined ? "Optional." : `Optional; default: ${code(node.default)}.`,
    ...(node.const === undefined ? [] : [`Always ${code(node.const)}.`]),
    ...(node.enum === undefined ? [] : [`One of ${node.enum.map(code).join(", ")}.`]),
  ];
  const examples = node.examples ?? [];
  return [
    [node.description ?? "", ...facts].filter((sentence) => sentence !== "").join(" "),
    "",
    ...(examples.length > 0 && node.const === undefined ? [`Examples: ${examples.map(code).join(" · ")}`, ""] : []),
  ];
}

interface Row {
  readonly path: string;
  readonly node: SchemaNode;
  readonly isRequired: boolean;
}

function inner(key: string, node: SchemaNode, placeholders: ReferenceText["placeholders"]): string[] {
  const rows = rowsBelow(key, node, placeholders);
  if (rows.length === 0) return [];
  return [
    "| key | meaning | example |",
    "| --- | --- | --- |",
    ...rows.map(({ path, node: below, isRequired }) => {
      const meaning = [below.description ?? "", ...(isRequired ? ["Required."] : []), ...bounds(below)];
      return `| \`${path}\` | ${markdownCell(meaning.filter((part) => part !== "").join(" "))} | ${markdownCell(example(below))} |`;
    }),
    "",
  ];
}

/** The keys below a key, each by its path; forms that may stand for one another follow each other. */
function rowsBelow(path: string, node: SchemaNode, placeholders: ReferenceText["placeholders"]): Row[] {
  const own = Object.entries(node.properties ?? {}).flatMap(([key, below]) => [
    { path: `${path}.${key}`, node: below, isRequired: node.required?.includes(key) ?? false },
    ...rowsBelow(`${path}.${key}`, below, placeholders),
  ]);
  const named = typeof node.additionalProperties === "object" ? node.additionalProperties : undefined;
  const last = path.split(".").at(-1) ?? path;
  const name = `${path}.${placeholders[last] ?? "NAME"}`;
  const byName =
    named === undefined
      ? []
      : [{ path: name, node: named, isRequired: false }, ...rowsBelow(name, named, placeholders)];
  const items = node.items?.properties === undefined ? [] : rowsBelow(`${path}[]`, node.items, placeholders);
  const forms = (node.anyOf ?? []).flatMap((form) => rowsBelow(path, form, placeholders));
  return unique([...own, ...byName, ...items, ...forms]);
}

function unique(rows: readonly Row[]): Row[] {
  const seen = new Map<string, Row>();
  for (const row of rows) {
    const key = `${row.path}\n${row.node.description ?? ""}`;
    if (!seen.has(key)) seen.set(key, row);
  }
  return [...seen.values()];
}

function bounds({ minimum, maximum, enum: choices, default: usual }: SchemaNode): string[] {
  return [
    ...(choices === undefined ? [] : [`One of ${choices.map(code).join(", ")}.`]),
    ...(minimum === undefined || maximum === undefined ? [] : [`From ${minimum} to ${maximum}.`]),
    ...(usual === undefined ? [] : [`Default: ${code(usual)}.`]),
  ];
}

function example({ examples }: SchemaNode): string {
  const first = examples?.[0];
  return first === undefined ? "" : code(first);
}

function code(value: unknown): string {
  return `\`${typeof value === "string" ? value : flow(value)}\``;
}

/** A value as YAML writes it in one line. */
function flow(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(flow).join(", ")}]`;
  if (typeof value === "object" && value !== null) {
    return `{ ${Object.entries(value)
      .map(([key, below]) => `${quoted(key)}: ${flow(below)}`)
      .join(", ")} }`;
  }
  return typeof value === "string" ? quoted(value) : String(value);
}

function quoted(text: string): string {
  return /[,[\]{}]/u.test(text) ? `"${text}"` : text;
}
