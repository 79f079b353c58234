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
  if (!television) return findings;
  const outside = television.figures.filter(({ meets }) => !meets);
  if (outside.some(({ unit }) => unit === "pulses")) findings.push(pulseCounts(television));
  for (const figure of outside) {
    if (figure.unit !== "pulses") findings.push(televisionFault(figure, television.system.name));
  }
  return findings;
}

function pulseCounts({ system, interlaced, figures }: TelevisionComparison): Finding {
  const counts = figures.filter(({ unit }) => unit === "pulses");
  const [is, wanted] = [counts.map(({ measured }) => measured), counts.map(({ nominal }) => nominal)];
  const what =
    `Composite sync has ${is[0]} equalising, ${is[1]} broad and ${is[2]} equalising pulses; ` +
    `${system.name} has ${wanted.join(", ")}.`;
  const pairing = interlaced ? ", though interlaced lines may pair" : "";
  return { code: "television timing", what, todo: `Most sets lock all the same${pairing} (common practice).` };
}

function televisionFault(figure: TelevisionFigure, system: string): Finding {
  const { name, unit, measured, nominal, min, max, percent } = figure;
  const print = (value: number) => String(Number(value.toFixed(unit === "kHz" ? 3 : 2)));
  const least = print(min ?? nominal);
  const limits = max === undefined ? `at least ${least}` : `${least} to ${print(max)}`;
  const what = `The ${name} is ${print(measured)} ${unit} (${signed(percent, "%")}); ${system} has ${limits} ${unit}.`;
  return { code: "television timing", what, todo: televisionTodo(name) };
}

function televisionTodo(name: string): string {
  if (name.endsWith("rate")) return "Change the dot clock or the dots in a line.";
  if (name === "front porch") return "End the picture sooner: sets blank late light, or take it for sync.";
  if (name === "time from sync to picture") {
    return "Begin the picture later: a set's edge hides it, and its black level suffers.";
  }
  if (name.startsWith("lines blanked")) return "Show fewer lines: a set still returns to the top while they pass.";
  return "Change the columns between which the pulse is decoded.";
}
