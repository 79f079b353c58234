import type {
  Certificate,
  CertificateDecision,
  CertificateMultipliers,
  CertificatePair,
  CertificateUnknown,
  Term,
} from "./certificate.js";

/** How many cases a certificate has, of how many pairs of edges: `5 cases of 2 pairs of edges`. */
export function certificateSize({ pairs, sure }: Certificate): string {
  const cases = pairs.reduce((sum, pair) => sum + pair.cases.length, 0);
  const counted = (count: number, one: string) => `${count} ${count === 1 ? one : `${one}s`}`;
  if (pairs.length === 0)
    return counted(
      sure.reduce((sum, one) => sum + one.cases.length, 0),
      "case",
    );
  return `${counted(cases, "case")} of ${counted(pairs.length, "pair")} of edges`;
}

/** A certificate in lines for a reader; `timeText` prints femtoseconds with their unit. */
export function certificateText(certificate: Certificate, timeText: (fs: number) => string): readonly string[] {
  const { unknowns, pairs, sure } = certificate;
  return [
    ...sure.flatMap(({ driver, tick, edges, cases }) => [
      `${driver} about oscillator period ${tick}: ${edges === 0 ? "no edge" : "one edge"} on every board`,
      ...cases.flatMap((decisions, index) => [
        `  case ${index + 1} of ${cases.length}`,
        ...decisions.flatMap((decision) => decisionLines(unknowns, decision)),
      ]),
    ]),
    ...pairs.flatMap((pair) => pairLines(certificate, pair, timeText)),
    "Every multiplier can be checked by hand: the gap less its conditions, each so many times, with every delay at the end of " +
      "its limits that makes it least.",
  ];
}

function pairLines({ unknowns }: Certificate, pair: CertificatePair, timeText: (fs: number) => string): string[] {
  const { tick, times, cases } = pair;
  const alike = times === 1 ? "" : `, and ${times - 1} alike`;
  return [
    `Edges about oscillator period ${tick}${alike}: ${cases.length} ${cases.length === 1 ? "case" : "cases"}`,
    ...cases.flatMap(({ decisions, gaps }, index) => [
      `  case ${index + 1} of ${cases.length}`,
      ...decisions.flatMap((decision) => decisionLines(unknowns, decision)),
      ...(gaps.length === 0 ? ["    no gap"] : []),
      ...gaps.map(({ gap, least, isOtherSide, multipliers }) => {
        const what = isOtherSide ? "on the other side of its capture" : `at least ${timeText(least)}`;
        return `    gap ${sumText(unknowns, gap)}: ${what}${timesText(multipliers)}`;
      }),
    ]),
  ];
}

function decisionLines(unknowns: readonly CertificateUnknown[], decision: CertificateDecision): readonly string[] {
  const { difference, isLater, forcedBy } = decision;
  const [more, less] = [difference.filter(([, factor]) => factor > 0), difference.filter(([, factor]) => factor < 0)];
  const other = sumText(
    unknowns,
    less.map(([number, factor]): Term => [number, -factor]),
  );
  const why = forcedBy ? `; it follows from the limits and the above${timesText(forcedBy)}` : "";
  return [`    ${sumText(unknowns, more)} is ${isLater ? "no less than" : "no more than"} ${other}${why}`];
}

/** ` (conditions 1/2 × 1)`; empty where the limits alone show it. */
function timesText({ parts, counts }: CertificateMultipliers): string {
  const used = counts.flatMap((count, index) => {
    if (count === 0) return [];
    const condition =
      index >= counts.length - 2 ? (index === counts.length - 2 ? "least duty" : "most duty") : `${index + 1}`;
    return [`${parts === 1 ? count : `${count}/${parts}`} × ${condition}`];
  });
  return used.length === 0 ? "" : ` (conditions ${used.join(", ")})`;
}

function sumText(unknowns: readonly CertificateUnknown[], terms: readonly Term[]): string {
  const text = terms.map(([number, factor], index) => {
    const sign = factor < 0 ? "- " : index === 0 ? "" : "+ ";
    const times = Math.abs(factor) === 1 ? "" : `${Math.abs(factor)} `;
    return `${sign}${times}${unknowns[number]?.name ?? ""}`;
  });
  return text.length === 0 ? "0" : text.join(" ");
}
