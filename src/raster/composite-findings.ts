import { type Finding, signed } from "./finding.js";
import type { Lock } from "./lock.js";
import type { Comparison } from "./recognise.js";
import type { TelevisionComparison, TelevisionFigure } from "./television.js";

/** Of a composite sync, lines around vertical sync are told of together. */
export function isInVerticalSync({ h, v }: Lock, line: number): boolean {
  const [from, to] = [h.leadingFs[line] ?? 0, h.leadingFs[line + 1] ?? Infinity];
  return v.leadingFs.some((start) => to > start - h.period && from < start + v.width + 2 * h.period);
}

/** What is not as it should be about two syncs on one net. */
export function compositeFaults(
  { composite, vSyncLines }: Lock,
  { raster }: Comparison,
  television: TelevisionComparison | undefined,
): Finding[] {
  if (!composite) return [];
  const findings: Finding[] = [];
  const bends = "On an old monitor the top of the picture may bend until its line oscillator has caught up.";
  const todo = `${bends} Let the sync end one sync width before each line, so that lines begin in vertical sync too.`;
  if (composite.vertical === "block") {
    const what = `Composite sync shows no lines for the ${vSyncLines.toFixed(1)} lines of vertical sync.`;
    findings.push({ code: "no lines in vertical sync", what, todo });
  } else if (composite.vertical === "displaced") {
    const dots = Math.round((composite.lineSync / composite.line) * raster.h.total);
    const what = `While vertical sync lasts, lines begin ${dots} dots late, as with an exclusive or of the two syncs.`;
    findings.push({ code: "no lines in vertical sync", what, todo });
  }
  const outside = television?.figures.filter(({ meets }) => !meets) ?? [];
  for (const figure of outside) findings.push(televisionFault(figure, television?.system.name ?? ""));
  return findings;
}

function televisionFault(figure: TelevisionFigure, system: string): Finding {
  const { name, unit, measured, nominal, min, max, percent } = figure;
  const print = (value: number) => String(Number(value.toFixed(unit === "kHz" ? 3 : 2)));
  const counts = unit === "pulses";
  const limits =
    counts || (min === undefined && max === undefined)
      ? print(nominal)
      : max === undefined
        ? `${print(min ?? nominal)} at least`
        : `${print(min ?? nominal)} to ${print(max)}`;
  const what = counts
    ? `Composite sync has ${print(measured)} ${name}; ${system} has ${limits}.`
    : `The ${name} is ${print(measured)} ${unit} (${signed(percent, "%")}); ${system} has ${limits} ${unit}.`;
  return { code: "television timing", what, todo: televisionTodo(name) };
}

function televisionTodo(name: string): string {
  if (name.startsWith("equalising") || name.startsWith("broad pulses")) {
    return "Most sets lock all the same, though interlaced lines may pair (common practice).";
  }
  if (name.endsWith("rate")) return "Change the dot clock or the dots in a line.";
  if (name === "front porch") return "End the picture sooner: sets blank late light, or take it for sync.";
  if (name === "sync to picture") return "Begin the picture later: a set's edge hides it, and its black level suffers.";
  if (name.startsWith("lines blanked")) return "Show fewer lines: a set still returns to the top while they pass.";
  return "Change the columns between which the pulse is decoded.";
}
