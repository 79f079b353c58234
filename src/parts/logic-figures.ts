import { fs } from "../quantity/index.js";
import type { Behaviour } from "./behaviour.js";
import { addStages, chooseDelay } from "./choose-delay.js";
import { choosePeriod, chooseRequirement } from "./choose-requirement.js";
import { type Conditions, describeConditions } from "./conditions.js";
import type { FamilyFigures, RequirementRow } from "./figure-rows.js";
import type { Delay, Figures, Missing, Requirement } from "./figures.js";
import { pinMatcher } from "./pin-matches.js";
import { remembered } from "./remembered.js";
import { usableRows } from "./usable-rows.js";

/** How many stages a ripple counter's output lies behind its first: stage letters follow each other, QA the first. */
const STAGE = "stage";

/** Of a clock's low or high time, where the sheet prints the other and a clock frequency. */
const LEFT_BY_FREQUENCY = "not printed: what the clock frequency leaves";

/** Symbol of a clock period that is the sum of the least high and low times, where no clock frequency is printed. */
export const SUM_OF_WIDTHS = "tw + tw";

/**
 * The figures of a logic function in a family under the circuit's conditions; `maker` restricts them to one publisher's
 * sheets. Answers are remembered, so asking again costs a look-up. `number` names the part where a figure is missing.
 */
export function logicFigures(
  behaviour: Behaviour,
  figures: FamilyFigures,
  conditions: Conditions,
  maker?: string,
  number = `74${figures.family}${behaviour.function}`,
): Figures {
  const rows = usableRows(figures, behaviour.function, conditions.supplyVolts, maker);
  const means = pinMatcher(behaviour);
  const missing = (what: string): Missing => ({
    missing: `${number} ${what}, ${describeConditions(conditions)}${maker === undefined ? "" : `, ${maker}`}`,
  });

  const delay: Figures["delay"] = (from, _fromEdge, to, change) => {
    const direct = chooseDelay(figures, rows, (row) => means(row.from, from) && means(row.to, to), change, conditions);
    return direct ?? rippled(from, to, change) ?? missing(`${from} to ${to} (${change})`);
  };

  /** A later stage of a ripple counter: clock to the first stage on record, then stage to stage. */
  const rippled = (from: string, to: string, change: Parameters<Figures["delay"]>[3]): Delay | undefined => {
    const stage = chooseDelay(figures, rows, (row) => row.from.includes(STAGE), change, conditions);
    const letter = /^Q([A-N])$/.exec(to)?.[1];
    if (stage === undefined || letter === undefined) return undefined;
    for (let stages = 1; stages <= letter.charCodeAt(0) - 65; stages++) {
      const earlier = `Q${String.fromCharCode(letter.charCodeAt(0) - stages)}`;
      const first = chooseDelay(
        figures,
        rows,
        (row) => means(row.from, from) && row.to.includes(earlier),
        change,
        conditions,
      );
      if (first) return addStages(first, stage, stages);
    }
    return undefined;
  };

  const requirement = (
    kind: RequirementRow["kind"],
    pin: string,
    reference: string | undefined,
    what: string,
  ): Requirement | Missing =>
    chooseRequirement(
      figures,
      rows,
      kind,
      (row) => means(row.pins, pin) && (reference === undefined || means(row.reference, reference)),
      conditions,
    ) ?? missing(what);

  const period = (pin: string): Requirement | Missing => {
    const printed = choosePeriod(figures, rows, (pins) => means(pins, pin), conditions);
    if (printed) return printed;
    const high = requirement("width high", pin, undefined, "");
    const low = requirement("width low", pin, undefined, "");
    if ("missing" in high || "missing" in low) return missing(`${pin} clock period`);
    return {
      kind: "clock period",
      symbol: SUM_OF_WIDTHS,
      time: fs(high.time + low.time),
      source: {
        ...high.source,
        column: `${high.source.column ?? ""}, no clock frequency printed: sum of the least widths`,
      },
    };
  };

  /**
   * At its greatest frequency a part is guaranteed with a symmetric clock, or with the least time that is printed for one
   * level: the other then lasts half a period, or what is left of it. The longer of the two is enough in either case.
   */
  const leftByFrequency = (pin: string, level: "high" | "low"): Requirement | undefined => {
    const printed = choosePeriod(figures, rows, (pins) => means(pins, pin), conditions);
    const other = requirement(`width ${level === "high" ? "low" : "high"}`, pin, undefined, "");
    if (!printed || "missing" in other) return undefined;
    const { source } = printed;
    return {
      kind: `width ${level}`,
      symbol: "tw",
      time: fs(Math.max(Math.ceil(printed.time / 2), printed.time - other.time)),
      source: { ...source, column: `${source.column ?? ""}, ${LEFT_BY_FREQUENCY}` },
    };
  };

  const width = (pin: string, level: "high" | "low"): Requirement | Missing => {
    const printed = requirement(`width ${level}`, pin, undefined, `${pin} ${level} width`);
    return "missing" in printed ? (leftByFrequency(pin, level) ?? printed) : printed;
  };

  return {
    delay: remembered(delay),
    window: remembered((kind, pin, reference) =>
      requirement(kind, pin, reference, `${kind} of ${pin} at ${reference}`),
    ),
    width: remembered(width),
    recovery: remembered((pin, reference) =>
      requirement("recovery", pin, reference, `recovery of ${pin} to ${reference}`),
    ),
    period: remembered(period),
    memory: (symbol) => missing(symbol),
  };
}
