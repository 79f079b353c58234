import {
  type ElectricalFindings,
  type ElectricalVerdict,
  electricalSummary,
  explainElectrical,
} from "../electrical/index.js";
import { type Measure, inPlainUnit, measure } from "../quantity/index.js";
import { countsAgainst } from "../verdict/index.js";

/**
 * The electrical findings as data for other programs.
 *
 * - `answer`: what they come to, in a sentence
 * - `verdicts`, worst first: `name`, `rule`, `symbol`, `chip`, `part`, `pin`, `net`, `reference` (the driver), `state`,
 *   `counts` (against the exit code), `required`, `available`, `margin` (each `value` and `unit`: V, mA, pF, ns/V, mW, pJ,
 *   ns, ohm, or none of a count; absent where no number decides), `count`, `demand`, `note`, `remedies`, `restsOn`,
 *   `missing`, `accepted`
 * - `groups`: `label`, `state`, `worst` and `verdicts` by name, as the text lists them
 * - `advice`: `subject`, `text`, `source`; no verdicts
 */
export function electricalData(findings: ElectricalFindings) {
  const { answer, groups } = electricalSummary(findings);
  return {
    answer,
    groups: groups.map(({ label, state, worst, verdicts }) => ({
      label,
      state,
      worst: worst.name,
      verdicts: verdicts.map(({ name }) => name),
    })),
    verdicts: findings.verdicts.map(verdictData),
    advice: findings.advice,
  };
}

/** The account of one verdict as data: `heading`, `sentences`, `lines` (`text`, `working`, `figure`, `mark`, `source`), `sources`. */
export function electricalAccountData(verdict: ElectricalVerdict) {
  const { heading, sentences, lines, sources } = explainElectrical(verdict);
  return {
    ...verdictData(verdict),
    heading,
    sentences,
    lines: lines.map(({ figure, ...line }) => ({ ...line, ...figures({ figure }) })),
    sources,
  };
}

function verdictData(verdict: ElectricalVerdict) {
  const { required, available, margin, quantity, accepted } = verdict;
  const { name, rule, symbol, chip, part, pin, net, reference, state, count, demand, note, remedies } = verdict;
  const sized = (amount: number | undefined) => (amount === undefined ? undefined : measure(quantity, amount));
  return {
    name,
    rule,
    symbol,
    chip,
    part,
    pin,
    net,
    reference,
    state,
    counts: countsAgainst(verdict),
    ...figures({ required: sized(required), available: sized(available), margin: sized(margin) }),
    count,
    demand,
    note,
    remedies,
    restsOn: verdict.restsOn,
    missing: verdict.missing,
    ...(accepted && { accepted: { ...accepted, margin: inPlainUnit(measure(quantity, accepted.margin)) } }),
  };
}

/** Those figures that there are. */
function figures(named: Readonly<Record<string, Measure | undefined>>) {
  return Object.fromEntries(
    Object.entries(named).flatMap(([name, figure]) => (figure ? [[name, inPlainUnit(figure)] as const] : [])),
  );
}
