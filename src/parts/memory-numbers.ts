import { type MemoryRow, memoryRows } from "./memory-rows.js";
import { plainNumber, withoutPackage } from "./part-number.js";

/** Numbers that stand for every maker's memory of that organisation and pin order; the grade in ns follows: `62256-70`. */
const genericNumbers: Readonly<Record<string, string>> = {
  "6116": "2Kx8",
  "6264": "8Kx8",
  "62256": "32Kx8",
  "628128": "128Kx8",
  "628256": "256Kx8",
  "628512": "512Kx8",
  "7130": "1Kx8 dual-port",
  "7132": "2Kx8 dual-port",
  "7134": "4Kx8 dual-port",
  "27C256": "32Kx8 EPROM",
  "27C512": "64Kx8 EPROM",
  "28C64": "8Kx8 EEPROM",
  "28C256": "32Kx8 EEPROM",
  "39SF010": "128Kx8 flash",
  "39SF020": "256Kx8 flash",
  "39SF040": "512Kx8 flash",
};

const byNumber = new Map<string, readonly MemoryRow[]>();
for (const row of memoryRows) {
  for (const name of [row.part, ...row.aliases]) byNumber.set(plainNumber(name), [row]);
}

/** Makers' own numbers as their sheets print them. */
export const memoryNumbers: readonly string[] = memoryRows.map((row) => row.part);

/** Every `62256-70` for which some maker's sheet is on record. */
export const genericMemories: readonly string[] = Object.entries(genericNumbers).flatMap(([generic, fn]) => {
  const grades = new Set(memoryRows.filter((row) => row.function === fn).map((row) => row.grade));
  return [...grades].sort((a, b) => a - b).map((grade) => `${generic}-${grade}`);
});

/**
 * The rows that a memory's number stands for: one grade of one maker, or by a generic number every maker's of that grade.
 * Letters of package and temperature at the end are passed over. Empty where nothing has that number.
 */
export function memoriesNamed(number: string): readonly MemoryRow[] {
  for (const name of [plainNumber(number), withoutPackage(number)]) {
    const known = byNumber.get(name);
    if (known) return known;
    const [, generic = "", grade] = /^([0-9A-Z]+)-(\d+)$/.exec(name) ?? [];
    const fn = genericNumbers[generic];
    const rows = memoryRows.filter((row) => row.function === fn && row.grade === Number(grade));
    if (rows.length > 0) return rows;
  }
  return [];
}
