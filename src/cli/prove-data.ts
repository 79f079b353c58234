import type { Circuit } from "../circuit/index.js";
import { isMissing, sourceLine } from "../parts/index.js";
import { type Fs, inNs } from "../quantity/index.js";
import {
  type ChainStep,
  type Exact,
  type SynchroniserTime,
  type Verdict,
  explain,
  limitsInShort,
  summary,
} from "../timing/index.js";
import { countsAgainst } from "../verdict/index.js";
import { electricalData } from "./prove-electrical-data.js";
import type { Judgement } from "../judging/index.js";

/**
 * What was judged as data for other programs. Times are in nanoseconds, exact to the femtosecond.
 *
 * - `holds`: nothing counts against the circuit, on the electrical side neither; `answer`: what the timing comes to, in a
 *   sentence
 * - `cycleTicks`: oscillator periods until the control state repeats; `leadTicks`: those before; `situations`: how many
 *   different ones were proved
 * - `coverage`: what was looked at and why nothing else can occur, in a `text` and as `ticks` (oscillator periods),
 *   `followed` and `quiet` (signals that may change at any time), `mostStatesAtOnce`, `restsOnData` and `powerUp`: `bits` and
 *   `bitsNotFollowed` of control storage, `ticks` to the proved cycle from any state (absent where some never comes there),
 *   `heldTicks` (oscillator periods for which a reset must be held)
 * - `solver`: verdicts `decided` case by case, `calls` of the solver of linear programmes, and their `share` of the time
 * - `verdicts`, worst first: `name`, `rule`, `symbol`, `chip`, `part`, `pin`, `net`, `reference`, `state` (`holds`, `fails`,
 *   `not settled`, `not covered`), `counts` (against the exit code), `required`, `available`, `margin`, `typicalMargin`
 *   (absent where no time decides), `count`, `exact` where the margin was decided case by case: `bound` (the margin that
 *   bounds alone give), `isAttained` (some board has the margin), `board` (its delays: `name`, `value`) and `certificate`, what
 *   an outsider needs to check it ([docs/certificates.md](../../docs/certificates.md)), `shown` (`isWorst`, `margin` on a board that fails),
 *   `moment` (`tick`, `tickInCycle`, `line`, `dot`), `earlier` and `later` (the
 *   chains of delays), `between` (what lies between the edges at which they start), `gap` (`least`, or `most` for how long
 *   a net goes undriven), `source`, `restsOn`, `missing`, `note`, `accepted`; of a synchroniser `meanTime` between failures:
 *   `seconds` and its common logarithm `logSeconds` (absent where it is not known), `settling`, `clockHertz`,
 *   `changesHertz`, `tau` and `t0` in seconds with `countedFrom`, `publishedFor`, `source` and `fromMemory`, and a `text`
 * - of each step of a chain: `label`, `kind`, `chip`, `part`, `from`, `to`, `change`, `min`, `max`, `used`, `cancelled`,
 *   `source`, `assumed`, `fromMemory`, `measured`, `missing`. With `gap` at its least, `available` is `between` plus what is used of
 *   `later` less what is used of `earlier`, plus `allowance`, steps that are `cancelled` left out; where `exact` has a `bound`
 *   they add up to the available time of the bound, and the `margin` is as much more.
 * - `groups`: `label`, `state`, `worst` and `verdicts` by name, as the text lists them
 * - `missing`: figures that no sheet on record gives; `idleAcceptances`: what the file accepts in vain; `limits`: what no
 *   verdict sees
 * - `measured`: delays that the builder measured: `chip`, `from`, `edge`, `to`, `change`, `measured` (`min`, `max`), what
 *   limits are `left` of them and the sheet, `source`
 * - `electrical`: levels, loads and supply, with verdicts of their own
 */
export function judgementData(
  { loaded, proof, exact, electrical, idleAcceptances, holds }: Judgement,
  totalTime: number,
) {
  const { verdicts, cycleTicks, leadTicks, situations, coverage, missing, period } = proof;
  const { answer, groups } = summary(proof);
  return {
    holds,
    answer,
    cycleTicks,
    leadTicks,
    situations,
    ...(coverage && { coverage }),
    solver: { decided: exact.decided, calls: exact.solverCalls, share: shareOf(exact.solverTime, totalTime) },
    ...(period && { period: { min: inNs(period.min), max: inNs(period.max) } }),
    groups: groups.map(({ label, state, worst, verdicts: members }) => ({
      label,
      state,
      worst: worst.name,
      verdicts: members.map(({ name }) => name),
    })),
    verdicts: verdicts.map(verdictData),
    missing,
    idleAcceptances: idleAcceptances.map(({ acceptance, why }) => ({ verdict: acceptance.verdict, why })),
    measured: measuredData(loaded),
    limits: limitsInShort,
    electrical: electricalData(electrical),
  };
}

/** Delays that the builder measured, in nanoseconds, with what limits remain of them and the sheet. */
function measuredData({ chips }: Circuit) {
  return chips.flatMap(({ ref, part, measured = [] }) =>
    measured.map(({ from, edge, to, change, source, ...measuredTimes }) => {
      const delay = part.figures.delay(from, edge, to, change);
      const left = isMissing(delay) ? {} : times({ min: delay.min, max: delay.max });
      return {
        ...{ chip: ref, from, edge, to, change },
        measured: times(measuredTimes),
        left,
        source: sourceLine(source),
      };
    }),
  );
}

/** A share of a time to four decimals. */
function shareOf(part: number, whole: number): number {
  return whole > 0 ? Number((part / whole).toFixed(4)) : 0;
}

/** The account of one verdict as data: `heading`, `sentences`, `lines` (`text`, `limits`, `adds`, `sum`, `mark`, `source`), `sources`, `cases`. */
export function accountData(verdict: Verdict) {
  const { heading, sentences, lines, sources, cases } = explain(verdict);
  return {
    ...verdictData(verdict),
    heading,
    sentences,
    lines: lines.map(({ adds, sum, ...line }) => ({ ...line, ...times({ adds, sum }) })),
    sources,
    cases,
  };
}

function verdictData(verdict: Verdict) {
  const { required, available, margin, typicalMargin, allowance, chains, occasion, shown, accepted, meanTime } =
    verdict;
  const { name, rule, symbol, chip, part, pin, net, reference, state, count, source, restsOn, missing, note } = verdict;
  const { exact } = verdict;
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
    ...times({ required, available, margin, typicalMargin, allowance }),
    count,
    ...(occasion && { moment: occasion }),
    ...(meanTime && { meanTime: meanTimeData(meanTime) }),
    ...(chains && {
      earlier: chains.earlier.map(stepData),
      later: chains.later.map(stepData),
      between: { text: chains.between.text, time: inNs(chains.between.time) },
      gap: chains.gap,
    }),
    source,
    restsOn,
    missing,
    note,
    ...(exact && { exact: exactData(exact) }),
    ...(shown && { shown: { isWorst: shown.isWorst, ...times({ margin: shown.margin }) } }),
    ...(accepted && { accepted: { ...accepted, margin: inNs(accepted.margin) } }),
  };
}

/** Bound and board in nanoseconds; the certificate is in whole femtoseconds, in which it can be checked. */
function exactData({ bound, board, ...rest }: Exact) {
  return {
    ...rest,
    ...times({ bound }),
    ...(board && { board: board.map(({ name, value }) => ({ name, value: inNs(value) })) }),
  };
}

/** Times in nanoseconds but for `seconds` (absent where it is beyond numbers), `tau` and `t0`, which are in seconds. */
function meanTimeData({ logSeconds, settling, figures, ...rest }: SynchroniserTime) {
  const seconds = logSeconds === undefined ? Infinity : 10 ** logSeconds;
  return {
    ...rest,
    ...times({ settling }),
    ...(logSeconds !== undefined && { logSeconds }),
    ...(Number.isFinite(seconds) && { seconds }),
    ...figures,
  };
}

function stepData({ min, max, ...step }: ChainStep) {
  return { ...step, min: inNs(min), max: inNs(max) };
}

/** Those times that there are, in nanoseconds. */
function times(named: Readonly<Record<string, Fs | undefined>>): Readonly<Record<string, number>> {
  return Object.fromEntries(
    Object.entries(named).flatMap(([name, time]) => (time === undefined ? [] : [[name, inNs(time)] as const])),
  );
}
