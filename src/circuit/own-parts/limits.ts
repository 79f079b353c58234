/** Limits that no drawer's list comes near; a file beyond them is refused before it can cost time. */
export const OWN_LIMITS = {
  functions: 50,
  pins: 64,
  bits: 64,
  /** Characters of one expression, and of all in the file. */
  expression: 1_000,
  logic: 8_000,
  /** Rows under `figures`. */
  rows: 300,
  /** Delays and requirements of all rows. */
  entries: 2_000,
  memories: 300,
  /** Of a memory that a function describes: 20 address pins are a million words. */
  addressPins: 20,
  dataPins: 8,
  /** Characters of a part number. */
  number: 32,
} as const;
