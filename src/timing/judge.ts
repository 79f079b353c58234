import { type Missing, type Requirement, isMissing, sourceLine } from "../parts/index.js";
import { type Fs, fs } from "../quantity/index.js";
import { type NameParts, type VerdictState, type Weakness, nameOf } from "../verdict/index.js";
import { chainsOf, isJudgedAtMost } from "./chains.js";
import type { Check, RuleName } from "./check.js";
import type { PlaceResult } from "./explore.js";
import type { Model } from "./model.js";
import type { Occasion } from "./occasion.js";
import type { Moment } from "./moment.js";
import { outsideOf } from "./roots.js";
import type { Chains, Verdict } from "./verdict.js";

/** Longer than any gap that a limit is stated for: stands for no limit at all, in fs. */
const NO_LIMIT = Number.MAX_SAFE_INTEGER / 8;

/** Rules that a data sheet must state a figure for. */
const needsFigure: ReadonlySet<RuleName> = new Set<RuleName>([
  "set-up",
  "hold",
  "pulse width",
  "clock period",
  "recovery",
  "memory read",
  "memory write",
  "memory cycle",
]);

/** The verdict on one rule at one place, from its worst check; without an occasion where nobody knows when that is. */
export function judge(
  model: Model,
  { worst, count }: Pick<PlaceResult, "worst" | "count">,
  nameParts: NameParts,
  occasion?: Occasion,
): Verdict {
  const chains = chainsOf(model, worst);
  const missing = missingOf(model, worst, chains);
  const times = isTimed(worst) ? timesOf(model, worst) : {};
  const margin = worst.available - worst.required;
  const state: VerdictState = missing.length > 0 ? "not covered" : margin >= 0 ? "holds" : "fails";
  return {
    name: nameOf(nameParts),
    nameParts,
    rule: worst.rule,
    symbol: worst.symbol,
    chip: worst.chip,
    part: model.circuit.chips.find(({ ref }) => ref === worst.chip)?.part.number ?? "",
    pin: worst.pin,
    net: worst.net,
    reference: worst.reference,
    state,
    ...(missing.length > 0 ? {} : times),
    missing,
    count,
    ...(occasion && { occasion }),
    ...(chains && { chains }),
    source: worst.source ? sourceLine(worst.source) : "",
    restsOn: isTimed(worst) ? weaknesses(model, worst, chains) : [],
    note: [
      ...(missing.length > 0 ? [noSheetGives(missing)] : []),
      ...(worst.note === undefined ? [] : [sentence(worst.note)]),
    ].join(" "),
  };
}

/** Rules that a time does not decide: changes come in any order, or without end. */
const timeless: ReadonlySet<RuleName> = new Set<RuleName>(["glitch", "asynchronous signal", "settling"]);

/** Whether a time decides: nor does it where nothing tells a driver to let go. */
function isTimed({ rule, earlier, later }: Check): boolean {
  return earlier !== undefined && later !== undefined && !timeless.has(rule);
}

function timesOf({ circuit }: Model, check: Check): Partial<Pick<Verdict, "required" | "available" | "margin">> {
  const { required, available, typical } = check;
  if (available > NO_LIMIT) return { required: fs(required) };
  const allowance = check.rule === "contention" ? circuit.allowedContention : 0;
  const typicalMargin = isJudgedAtMost(check) ? available - typical : typical + allowance - required;
  return {
    required: fs(required),
    available: fs(available),
    margin: fs(available - required),
    ...{ typicalMargin: fs(typicalMargin) },
    ...(allowance !== 0 && { allowance: allowance as Fs }),
  };
}

/** Figures that the verdict needs and that no sheet on record gives, each with its chip. */
function missingOf(model: Model, check: Check, chains: Chains | undefined): readonly string[] {
  const steps = chains ? [...chains.earlier, ...chains.later] : [];
  const delays = steps.flatMap(({ chip, missing, cancelled }) =>
    missing !== undefined && !cancelled ? [`${chip}: ${missing}`] : [],
  );
  if (!needsFigure.has(check.rule) || check.source) return [...new Set(delays)];
  const figure = requirementOf(model, check);
  const own = figure && isMissing(figure) ? figure.missing : `${check.symbol} of ${check.pin}`;
  return [...new Set([`${check.chip}: ${own}`, ...delays])];
}

/** The figure that a check asked for. */
function requirementOf({ circuit }: Model, check: Check): Requirement | Missing | undefined {
  const { rule, chip, pin, reference, symbol } = check;
  const figures = circuit.chips.find(({ ref }) => ref === chip)?.part.figures;
  switch (rule) {
    case "set-up":
    case "memory read":
      return figures?.window("set-up", pin, reference);
    case "hold":
      return figures?.window("hold", pin, reference);
    case "recovery":
      return figures?.recovery(pin, reference);
    case "clock period":
      return figures?.period(pin);
    case "pulse width":
      return figures?.width(pin, symbol.endsWith("high") ? "high" : "low");
    case "memory write":
    case "memory cycle":
      return isMemorySymbol(symbol) ? figures?.memory(symbol) : undefined;
    default:
      return undefined;
  }
}

type MemoryTime = "tRC" | "tAS" | "tAW" | "tCW" | "tDW" | "tDH" | "tWR" | "tWC" | "tWP";

function isMemorySymbol(symbol: string): symbol is MemoryTime {
  return ["tRC", "tAS", "tAW", "tCW", "tDW", "tDH", "tWR", "tWC", "tWP"].includes(symbol);
}

function weaknesses({ time, outside }: Model, check: Check, chains: Chains | undefined): readonly Weakness[] {
  const { source } = check;
  const isRecalled = (moment: Moment | undefined) =>
    moment !== undefined && outside[outsideOf(time.rootOf(moment.path))]?.input.by?.source.fromMemory;
  const steps = chains ? [...chains.earlier, ...chains.later].filter(({ cancelled }) => !cancelled) : [];
  const found: Weakness[] = [];
  if (steps.some(({ assumed, used }) => assumed && used === "min")) found.push("assumed minimum");
  if (
    source?.fromMemory ||
    steps.some(({ fromMemory }) => fromMemory) ||
    isRecalled(check.earlier) ||
    isRecalled(check.later)
  ) {
    found.push("from memory");
  }
  if (source?.measured || steps.some(({ measured }) => measured)) found.push("measured");
  return found;
}

/** Says which figures are missing, each as `U9: 74HC161 ENP hold, 4.5 V`. */
export function noSheetGives(missing: readonly string[]): string {
  return `No sheet on record gives ${missing.join("; nor ")}: an own parts file can.`;
}

function sentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}${text.endsWith(".") ? "" : "."}`;
}
