import { type Conditions, DEFAULT_UNSTATED_MINIMUM, findPart } from "../parts/index.js";
import { range } from "../quantity/index.js";
import { checkNets } from "./check-nets.js";
import type { Chip, Circuit, Net, Supply } from "./circuit.js";
import { type Cell, csvLine, csvLines } from "./csv-lines.js";
import { LIMITS } from "./limits.js";
import * as say from "./messages.js";
import { drivingOf } from "./driving.js";
import { OPEN } from "./names.js";
import { placedNames } from "./net-names.js";
import { pairPins } from "./pairs.js";
import { NOWHERE, type Places, placesOf } from "./places.js";
import type { Problem, Span } from "./problem.js";
import { refuseText } from "./refusal.js";
import { Report } from "./report.js";
import { type FindPart, type WrittenChip, wireChips } from "./wiring.js";

/** The columns of a wiring list in comma-separated values. */
const COLUMNS = ["chip", "part", "pin", "net"] as const;

/** What a board's wiring alone is: chips on nets, nothing about supply, raster or inputs. */
export interface BoardWiring {
  readonly chips: readonly Chip[];
  /** Nets that no chip ever drives are `toCome`: the list does not say where they come from. */
  readonly nets: readonly Net[];
  /** The main one first; of it a list says nothing. */
  readonly supplies: readonly [Supply, ...Supply[]];
}

export interface CsvReading {
  /** Absent where one of the problems is an error. */
  readonly wiring?: BoardWiring;
  readonly problems: readonly Problem[];
  readonly places: Places;
}

export interface CsvOptions {
  readonly findPart?: FindPart;
  /** Supplies besides the main one that VCC pins may be on, by name. */
  readonly supplies?: readonly Supply[];
}

/** Conditions under which the catalogue is asked; a wiring list uses the pins of the parts only. */
const CONDITIONS: Conditions = {
  supplyVolts: range(4.5, 5.5),
  ambientCelsius: range(0, 70),
  unstatedMinimum: DEFAULT_UNSTATED_MINIMUM,
};

/**
 * Reads a wiring list: a first line that names the columns chip, part, pin and net, in any order, then a line for each pin.
 * The part need stand in one line of each chip only. Pins and nets are written as in the circuit file, or pins by their
 * number on the package. Never throws for any text.
 */
export function readCsv(text: string, fileName: string, options: CsvOptions = {}): CsvReading {
  const report = new Report(text, fileName);
  if (refuseText(text, report)) return { problems: report.problems, places: NOWHERE };
  const written = chipsIn(csvLines(text, report), report);
  if (report.isOverfull) return { problems: report.problems, places: NOWHERE };
  const beyond = written[LIMITS.chips];
  if (beyond) {
    report.add(beyond.at, say.tooMany("chips", LIMITS.chips));
    return { problems: report.problems, places: NOWHERE };
  }
  const supplies = [{ name: "main", volts: CONDITIONS.supplyVolts }, ...(options.supplies ?? [])] as const;
  const wiring = wireChips(written, supplies, CONDITIONS, options.findPart ?? findPart, report);
  if (wiring.nets.isOverfull) return { problems: report.problems, places: NOWHERE };
  for (const net of wiring.nets.all) {
    net.toCome = !net.rail && net.drivers.every((pin) => drivingOf(pin) === "never");
  }
  checkNets(wiring, { shown: new Set(), passives: [] }, report);
  const places = placesOf(written, wiring, report);
  if (report.hasErrors) return { problems: report.problems, places };
  return { wiring: { chips: wiring.chips, nets: wiring.nets.all, supplies }, problems: report.problems, places };
}

/** Writes a circuit's wiring list, one line for each signal pin, in the order of chips and of their pins. */
export function writeCsv({ chips, supplies }: BoardWiring | Circuit): string {
  const main = supplies[0]?.name ?? "";
  const lines = chips.flatMap((chip) =>
    pinNets(chip, main).map(([pin, net]) => csvLine([chip.ref, chip.part.number, pin, net])),
  );
  return csvLine(COLUMNS) + lines.join("");
}

/** Each pin of a chip with its net, `high`, `low` or `open`, as files write them; VCC only where it is not on the main supply. */
export function pinNets(chip: Chip, mainSupply: string): readonly (readonly [pin: string, net: string])[] {
  return chip.part.behaviour.pins.flatMap(({ name, role }) => {
    if (role === "supply") return chip.supply.name === mainSupply ? [] : [[name, chip.supply.name] as const];
    const net = chip.nets.get(name)?.name ?? (chip.open.has(name) ? OPEN : undefined);
    return net === undefined ? [] : [[name, net] as const];
  });
}

interface Row {
  readonly chip: Cell;
  readonly part: Cell | undefined;
  readonly pin: Cell;
  readonly net: Cell;
}

/** The chips of a list, each with all of its lines wherever they stand. */
function chipsIn(lines: readonly (readonly Cell[])[], report: Report): readonly WrittenChip[] {
  const byChip = new Map<string, Row[]>();
  for (const row of rowsIn(lines, report)) {
    const rows = byChip.get(row.chip.text);
    if (rows) rows.push(row);
    else byChip.set(row.chip.text, [row]);
  }
  return [...byChip].map(([ref, rows]) => chipOf(ref, rows, report));
}

function rowsIn([header, ...lines]: readonly (readonly Cell[])[], report: Report): readonly Row[] {
  const titles = (header ?? []).map(({ text }) => text.toLowerCase());
  const missing = COLUMNS.filter((column) => column !== "part" && !titles.includes(column));
  if (missing.length > 0) {
    report.add(header?.[0]?.span ?? { start: 0, end: 0 }, say.csvHeader(missing));
    return [];
  }
  return lines.flatMap((cells): Row[] => {
    const span = lineSpan(cells);
    if (cells.length !== titles.length) {
      report.add(span, say.csvCells(cells.length, titles.length));
      return [];
    }
    const cell = (column: (typeof COLUMNS)[number]) => cells[titles.indexOf(column)];
    const [chip, part, pin, net] = COLUMNS.map(cell);
    const empty = (["chip", "pin", "net"] as const).filter((column) => !cell(column)?.text);
    for (const column of empty) report.add(span, say.csvEmptyCell(column));
    return chip && pin && net && empty.length === 0 ? [{ chip, part, pin, net }] : [];
  });
}

function chipOf(ref: string, rows: readonly Row[], report: Report): WrittenChip {
  const at = rows[0]?.chip.span ?? { start: 0, end: 0 };
  const parts = rows.flatMap(({ part }) => (part?.text ? [part] : []));
  const part = parts[0];
  if (!part) report.add(at, say.csvNoPart(ref));
  for (const other of parts) {
    if (part && other.text !== part.text) report.add(other.span, say.partTwice(ref, other.text, part.text));
  }
  const pairs = rows.map(({ pin, net }) => pairPins(namesIn(pin, report), namesIn(net, report), net.span, report));
  return {
    ref,
    at,
    ...(part ? { part: part.text } : {}),
    partAt: part?.span ?? at,
    note: "",
    pins: pairs.flatMap(({ pins }) => pins),
    strayNets: pairs.flatMap(({ strayNets }) => strayNets),
    isComplete: pairs.every(({ pins }) => pins.length > 0),
  };
}

function namesIn({ text, span }: Cell, report: Report) {
  return placedNames(text, report, () => span);
}

function lineSpan(cells: readonly Cell[]): Span {
  return { start: cells[0]?.span.start ?? 0, end: cells.at(-1)?.span.end ?? 0 };
}
