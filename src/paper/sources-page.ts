/** A file of the data on record and what it holds. */
export interface DataFile {
  /** Path from the project's root. */
  readonly path: string;
  readonly content: unknown;
}

/** Everything that a figure was taken from, by publisher, as a page in Markdown: `docs/sources.md`. */
export function sourcesPage(files: readonly DataFile[]): string {
  const publishers = new Map<string, Map<string, Document>>();
  const unpublished: { path: string; text: string }[] = [];
  for (const { path, content } of files) {
    for (const found of sourcesIn(content)) {
      if (typeof found === "string") {
        if (!unpublished.some((known) => known.path === path && known.text === found))
          unpublished.push({ path, text: found });
        continue;
      }
      const documents = publishers.get(found.publisher) ?? new Map<string, Document>();
      publishers.set(found.publisher, documents);
      const known = documents.get(found.document) ?? { title: found.title, paths: new Set<string>() };
      known.paths.add(path);
      documents.set(found.document, { title: known.title ?? found.title, paths: known.paths });
    }
  }
  const names = [...publishers.keys()].sort((one, other) => one.localeCompare(other, "en"));
  const count = names.reduce((sum, name) => sum + (publishers.get(name)?.size ?? 0), 0);
  return [
    "# Published sources",
    "",
    "Made by `npm run references` from `data/`; not to be edited by hand. These are the data sheets, standards and books that",
    `the figures on record were taken from: ${count} documents of ${names.length} publishers. Beside each verdict stands the one`,
    "that it rests on.",
    "",
    ...names.flatMap((name) => [
      `## ${name}`,
      "",
      ...[...(publishers.get(name) ?? [])]
        .sort(([one], [other]) => one.localeCompare(other, "en"))
        .map(
          ([document, { title, paths }]) =>
            `- ${document}${title === undefined ? "" : `, _${title}_`} (${pathWords(paths)})`,
        ),
      "",
    ]),
    "## Other sources, and what has none",
    "",
    "Whole files that rest on one source, and figures that are common practice or from memory and marked so.",
    "",
    ...unpublished.map(({ path, text }) => `- \`${path}\`: ${text}`),
    "",
  ].join("\n");
}

interface Document {
  readonly title: string | undefined;
  readonly paths: Set<string>;
}

interface Published {
  readonly publisher: string;
  readonly document: string;
  readonly title: string | undefined;
}

/** Records with a publisher and a document, wherever they stand, and the plain-text sources of whole files. */
function sourcesIn(value: unknown, depth = 0): (Published | string)[] {
  if (Array.isArray(value)) return value.flatMap((item: unknown) => sourcesIn(item, depth + 1));
  if (typeof value !== "object" || value === null) return [];
  const entries = Object.entries(value) as [string, unknown][];
  const record = Object.fromEntries(entries);
  const { publisher, document, title } = record;
  const own =
    typeof publisher === "string" && typeof document === "string" ? [published(publisher, document, title)] : [];
  const whole = depth === 0 && typeof record.source === "string" ? [record.source] : [];
  return [...own, ...whole, ...entries.flatMap(([, below]) => sourcesIn(below, depth + 1))];
}

/** A figure without a publisher is what its text says: a usual figure, or one from memory. */
function published(publisher: string, document: string, title: unknown): Published | string {
  return publisher === "" ? document : { publisher, document, title: typeof title === "string" ? title : undefined };
}

function pathWords(paths: ReadonlySet<string>): string {
  return [...paths].map((path) => `\`${path.replace(/^data\//u, "")}\``).join(", ");
}
