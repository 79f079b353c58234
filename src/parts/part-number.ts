import { type Hertz, isMisread, parseHertz } from "../quantity/index.js";
import { families } from "./figure-rows.js";

/** A logic part: `74HC163`, `SN74AHCT1G125`. */
export interface LogicNumber {
  readonly kind: "logic";
  readonly family: string;
  readonly function: string;
}

/** An oscillator can: `OSC-25.175MHz`, `OSC-25.175MHz-50ppm`, `K1100AM-25.175MHz`. */
export interface OscillatorNumber {
  readonly kind: "oscillator";
  /** Type number; `OSC` for the default one. */
  readonly type: string;
  readonly hertz: Hertz;
  readonly ppm?: number;
}

/** Matches the numbers of logic parts of these families, whose names are letters. */
export function logicNumbersOf(names: readonly string[]): RegExp {
  const longestFirst = [...names].sort((a, b) => b.length - a.length).join("|");
  return new RegExp(`^[A-Z]{0,3}74(${longestFirst})(\\d+(?:G\\d+)?)([A-Z]*)$`);
}

const onRecord = logicNumbersOf(families);

/**
 * Reads the number of a logic part. A maker's letters before the 74 (SN, CD, MM, MC, M, TC, DM) and after the number (a
 * revision A to D, a package N, E, P, AN, ANE4 ...) say nothing about the function and are passed over. Undefined where
 * the text has another form. `numbers` matches what is a logic part: those of the families on record.
 */
export function parseLogicNumber(text: string, numbers = onRecord): LogicNumber | undefined {
  const [, family, digits] = numbers.exec(plainNumber(text)) ?? [];
  if (family === undefined || digits === undefined) return undefined;
  return { kind: "logic", family, function: digits };
}

/** Reads the number of an oscillator can; undefined where the text has another form. */
export function parseOscillatorNumber(text: string): OscillatorNumber | undefined {
  const match = /^(.+?)-(\d[\d./]*\s*[kMG]?Hz)(?:-([\d.]+)\s*ppm)?$/i.exec(text.trim());
  if (!match) return undefined;
  const [, type = "", frequency = "", ppm] = match;
  const unit = frequency.replace(/[a-z]+$/i, (letters) => units[letters.toLowerCase()] ?? letters);
  const hertz = parseHertz(unit);
  if (isMisread(hertz)) return undefined;
  return {
    kind: "oscillator",
    type: type.toUpperCase(),
    hertz: hertz.value,
    ...(ppm !== undefined && { ppm: Number(ppm) }),
  };
}

const units: Readonly<Record<string, string>> = { hz: " Hz", khz: " kHz", mhz: " MHz", ghz: " GHz" };

/** Upper case without spaces: how part numbers are compared. */
export function plainNumber(text: string): string {
  return text.toUpperCase().replaceAll(/\s+/g, "");
}

/** A memory's number without the letters of package and temperature after its grade: `CY7C199-15PC` to `CY7C199-15`. */
export function withoutPackage(number: string): string {
  return plainNumber(number).replace(/(\d)[A-Z]+\d?$/, "$1");
}
