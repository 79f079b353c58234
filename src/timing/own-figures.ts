import type { Verdict } from "./verdict.js";

/**
 * How a builder supplies the figures that a verdict lacks: the rows to write under `figures` of an own parts file (of a
 * memory, under `memories`), as far as the verdict tells them.
 */
export function howToSupply(verdict: Verdict): string {
  const rows = rowsFor(verdict);
  const what = rows.length === 0 ? "" : `, such as ${rows.join(" and ")}`;
  return `To supply it, write it into a file of your own that the circuit file names under 'own parts'${what} (docs/own-parts.md).`;
}

function rowsFor(verdict: Verdict): readonly string[] {
  const { chains, missing, chip } = verdict;
  const steps = [...(chains?.earlier ?? []), ...(chains?.later ?? [])];
  const delays = steps
    .filter((step) => step.missing !== undefined && !step.cancelled)
    .map(({ part, from, to, change }) => {
      const changes = change === undefined ? "" : `, changes: [${change}]`;
      return `'{ from: ${from}, to: ${to}${changes}, -40 to 85 C: { max: .. ns } }' under 'delays' of a ${part}`;
    });
  const isOwn = missing.some((figure) => figure.startsWith(`${chip}: `)) && delays.length < missing.length;
  return [...(isOwn ? requirementRow(verdict) : []), ...new Set(delays)];
}

function requirementRow({ rule, symbol, part, pin, reference }: Verdict): readonly string[] {
  const row = (kind: string, other = "") => [
    `'{ kind: ${kind}, pins: ${pin}${other === "" ? "" : `, reference: ${other}`}, -40 to 85 C: .. ns }' under 'requirements' of a ${part}`,
  ];
  switch (rule) {
    case "set-up":
    case "hold":
    case "recovery":
      return row(rule, reference);
    case "memory read":
      return row("set-up", reference);
    case "pulse width":
      return row(symbol.endsWith("high") ? "width high" : "width low");
    case "clock period":
      return [`'{ kind: clock frequency, pins: ${pin}, -40 to 85 C: .. MHz }' under 'requirements' of a ${part}`];
    case "memory write":
    case "memory cycle":
      return [`'${symbol}: .. ns' under 'times' of a ${part}`];
    default:
      return [];
  }
}
