/** Limits that no real circuit comes near; a file beyond them is refused before it can cost time or memory. */
export const LIMITS = {
  /** Length of the file's text, in UTF-16 units. */
  text: 4 * 1024 * 1024,
  /** Words and marks of YAML. */
  lexemes: 300_000,
  /** Lists and maps inside each other. */
  depth: 64,
  /** Values, with every alias written out. */
  values: 400_000,
  chips: 2_000,
  nets: 20_000,
  /** Names of pins and nets with every range written out. */
  names: 200_000,
} as const;
