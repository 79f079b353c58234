import { isMisread, parseFarads, parseOhms, parsePercent } from "../quantity/index.js";
import type { Passive } from "./circuit.js";
import type { FileContext } from "./file-context.js";
import * as say from "./messages.js";
import { checkNetName, checkRef, railOf } from "./names.js";
import { namesInValue } from "./net-names.js";
import type { NetTable } from "./nets.js";
import type { Loose, Sections } from "./sections.js";
import type { PassiveEntry } from "./shape.js";

/** Reads resistors and capacitors. Their nets need have no pins: one may lead to a connector. */
export function readPassives(
  sections: Sections,
  chipRefs: ReadonlySet<string>,
  nets: NetTable,
  context: FileContext,
): readonly Passive[] {
  return sections.passives.flatMap(([ref, entry]) => {
    const path = ["passives", ref];
    const wrongRef = checkRef(ref) ?? (chipRefs.has(ref) ? say.refTwice(ref) : undefined);
    if (wrongRef) context.complainOfKey(path, wrongRef);
    const value = readValue(ref, entry, context);
    const tolerance = readTolerance(ref, entry, context);
    const between = readEnds(ref, entry, nets, context);
    return value && between
      ? [{ ref, ...value, ...(tolerance !== undefined && { tolerance }), nets: between, note: entry.note ?? "" }]
      : [];
  });
}

function readTolerance(ref: string, { tolerance }: Loose<PassiveEntry>, context: FileContext): number | undefined {
  if (tolerance === undefined) return undefined;
  const path = ["passives", ref, "tolerance"];
  const reading = parsePercent(tolerance);
  if (isMisread(reading)) return context.complain(path, say.quantity(path, reading.wrong, reading.expected));
  if (reading.value < 0 || reading.value >= 1) return context.complain(path, say.toleranceOutside(path, tolerance));
  return reading.value;
}

function readValue(ref: string, { value }: Loose<PassiveEntry>, context: FileContext) {
  if (value === undefined) return undefined;
  const path = ["passives", ref, "value"];
  const isCapacitor = /F\s*$/.test(value);
  const reading = isCapacitor ? parseFarads(value) : parseOhms(value);
  if (isMisread(reading)) {
    const expected = isCapacitor ? reading.expected : `${reading.expected}, or a capacitance such as 100 nF`;
    return context.complain(path, say.quantity(path, reading.wrong, expected));
  }
  if (reading.value <= 0) return context.complain(path, say.notAboveZero(path, value));
  return { kind: isCapacitor ? ("capacitor" as const) : ("resistor" as const), value, amount: reading.value };
}

function readEnds(ref: string, { between }: Loose<PassiveEntry>, nets: NetTable, context: FileContext) {
  if (between === undefined) return undefined;
  const path = ["passives", ref, "between"];
  const names = namesInValue(between, path, context).names.flatMap(({ name, span }): string[] => {
    const known = nets.find(name)?.name ?? railOf(name);
    const complaint = known === undefined ? checkNetName(name) : undefined;
    if (complaint) context.report.add(span, complaint);
    return complaint ? [] : [known ?? name];
  });
  const [first, second] = names;
  if (names.length !== 2 || first === undefined || second === undefined || first === second) {
    return context.complain(path, say.twoNets(ref));
  }
  return [first, second] as const;
}
