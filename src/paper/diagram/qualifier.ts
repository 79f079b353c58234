import { type Behaviour, type Expression, memoryPorts } from "../../parts/index.js";
import type { Unit, UnitPin } from "./units.js";

/*
 * Symbols of IEC 60617-12 and IEEE Std 91-1984 with Std 91a-1991: general qualifying symbols stand at the top of an outline
 * (IEC 60617-12 section 5, table I of the IEEE standard) and say what the element does; marks at the pins (sections 7 and 9)
 * say how a pin works. The names inside an outline are the maker's, not the dependency notation of section 13, because the
 * reader holds the maker's data sheet.
 */

/** How a pin is marked. */
export interface PinMark {
  /** The negation circle: the outside low level is the inside 1. */
  readonly isNegated: boolean;
  /** The dynamic input's wedge: acts by its edge. */
  readonly isDynamic: boolean;
  /** The triangle of an output that can leave its net alone. */
  readonly isThreeState: boolean;
  /** The hysteresis loop of a threshold input. */
  readonly hasHysteresis: boolean;
}

/** By the function's number in the trade. CTRDIV16 counts 16 states, RCTR12 is a ripple counter of 12 stages, SRG8 shifts 8. */
const byFunction: Readonly<Record<string, string>> = {
  "85": "COMP",
  "138": "X/Y",
  "139": "X/Y",
  "151": "MUX",
  "153": "MUX",
  "157": "MUX",
  "161": "CTRDIV16",
  "163": "CTRDIV16",
  "164": "SRG8",
  "165": "SRG8",
  "166": "SRG8",
  "191": "CTRDIV16",
  "193": "CTRDIV16",
  "194": "SRG4",
  "257": "MUX",
  "283": "Σ",
  "393": "CTRDIV16",
  "590": "CTRDIV256",
  "595": "SRG8",
  "597": "SRG8",
  "688": "COMP",
  "1G157": "MUX",
  "4020": "RCTR14",
  "4040": "RCTR12",
  "4060": "RCTR14",
};

/** The general qualifying symbol of a unit; empty where the standard has none, as for plain flip-flops and registers. */
export function qualifierOf(unit: Unit): string {
  const { behaviour } = unit.chip.part;
  const known = byFunction[behaviour.function];
  if (known !== undefined) return known;
  const ports = memoryPorts(behaviour);
  if (ports.length > 0) return ports.some(({ write }) => write) ? "RAM" : "ROM";
  if (behaviour.clockSource) return "G";
  // "Highly complex function" of IEC 60617-12, section 52.
  if (behaviour.master) return "Φ";
  if (behaviour.storage.length > 0) return "";
  const symbols = new Set(outputsOf(unit).map(({ value, enable }) => logicSymbol(value, enable !== undefined)));
  return symbols.size === 1 ? ([...symbols][0] ?? "") : "X/Y";
}

function outputsOf({ chip, common, cells }: Unit) {
  const names = new Set([common, ...cells].flatMap(({ left, right }) => [...left, ...right]).map(({ name }) => name));
  return chip.part.behaviour.outputs.filter(({ pin }) => names.has(pin));
}

/** & where all inputs, ≥1 where at least one, =1 where one of two, 1 where the one input; ▷ of a driver; X/Y of other logic. */
function logicSymbol(value: Expression, isDriver: boolean): string {
  const inner = value.kind === "not" ? value.of : value;
  if (inner.kind === "name") return isDriver ? "▷" : "1";
  if (inner.kind === "and" && isFlat(inner, "and")) return "&";
  if (inner.kind === "or" && isFlat(inner, "or")) return "≥1";
  if (inner.kind === "xor" && isFlat(inner, "xor")) return "=1";
  return "X/Y";
}

function isFlat(expression: Expression, kind: "and" | "or" | "xor"): boolean {
  if (expression.kind === "name") return true;
  if (expression.kind === "not") return expression.of.kind === "name";
  return expression.kind === kind && isFlat(expression.left, kind) && isFlat(expression.right, kind);
}

/** The marks of a pin. */
export function markOf({ chip }: Unit, { name, role }: UnitPin): PinMark {
  const { behaviour } = chip.part;
  const output = behaviour.outputs.find(({ pin }) => pin === name);
  const clocks = behaviour.storage.flatMap((bit) => (bit.kind === "register" ? literalsOf(bit.clock) : []));
  const clock = role === "input" ? clocks.find((literal) => literal.name === name) : undefined;
  const lowIsActive = name.endsWith("#") && !name.includes("/");
  return {
    isNegated: lowIsActive || (role === "output" && output?.value.kind === "not") || clock?.isInverted === true,
    isDynamic: clock !== undefined,
    isThreeState: output?.enable !== undefined || isMemoryData(behaviour, name),
    hasHysteresis: role === "input" && /Schmitt/.test(behaviour.title),
  };
}

function isMemoryData(behaviour: Behaviour, name: string): boolean {
  return memoryPorts(behaviour).some(({ data }) => data.includes(name));
}

/** The names of an expression, with whether it reads them inverted. */
function literalsOf(expression: Expression, isInverted = false): { name: string; isInverted: boolean }[] {
  switch (expression.kind) {
    case "constant":
      return [];
    case "name":
      return [{ name: expression.name, isInverted }];
    case "not":
      return literalsOf(expression.of, !isInverted);
    case "choose":
      return [expression.when, expression.then, expression.otherwise].flatMap((e) => literalsOf(e, isInverted));
    default:
      return [expression.left, expression.right].flatMap((e) => literalsOf(e, isInverted));
  }
}
