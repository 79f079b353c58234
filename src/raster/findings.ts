import { formatTime } from "../quantity/index.js";
import { type BlackLevelError, describeBlackLevel } from "./black-level.js";
import { compositeFaults, isInVerticalSync } from "./composite-findings.js";
import { type Finding, signed } from "./finding.js";
import { inHertz } from "./frequency.js";
import type { DarkPart, LitArea, StrayLight } from "./light.js";
import type { Lock, NoLock } from "./lock.js";
import type { DotPhase } from "./position.js";
import type { Polarity } from "./raster.js";
import { fieldRate, lineRate, linesPerField } from "./raster.js";
import { type Comparison, type Recognition, TOLERANCE } from "./recognise.js";
import type { SeenPorches } from "./porches.js";
import type { Displacement } from "./scan.js";
import type { Unheld } from "./unheld.js";
import type { TelevisionComparison } from "./television.js";

/** What is known about a picture that a monitor shows. */
export interface PictureFacts {
  readonly lock: Lock;
  /** Which published raster the signal is. */
  readonly recognition: Recognition;
  /** The raster that the picture was taken with, and how the signal differs from it. */
  readonly against: Comparison;
  /** Absent when nothing changes in the active area. */
  readonly phase?: DotPhase;
  /** How the picture was moved to fit. */
  readonly displacement: Displacement;
  /** Where there is light, before moving; absent when the picture is dark. */
  readonly lit?: LitArea;
  /** Light outside of the active area. */
  readonly stray: readonly StrayLight[];
  /** Absent when the picture is dark. */
  readonly porches?: SeenPorches;
  /** Absent where the back porch is black. */
  readonly blackLevel?: BlackLevelError;
  /** Where both syncs come on one net, at television's rates. */
  readonly television?: TelevisionComparison;
}

const SLOW_MONITOR = "Do not leave it on an old fixed-frequency monitor: a wrong line rate can destroy one.";

/** Vertical sync this far, in lines, from the nearest horizontal one is counted to one line or the other by chance. */
const FAR_FROM_LINE = 0.4;
/** Video less sharp is not on the dots of the raster. Edges that rise and fall a third of a dot apart still are. Our own choice. */
const LEAST_SHARPNESS = 0.5;

/** Says why there is no picture and what to look at. */
export function findingWithoutPicture({ reason, detail }: NoLock, unheld?: Unheld): Finding {
  const todo: Record<NoLock["reason"], string> = {
    "no horizontal sync": "Follow the net back to the column counter: is it clocked, does it count, is sync decoded?",
    "no vertical sync": "Follow the net back to the line counter, and record two frames or more.",
    "unsteady lines":
      "Look for a counter that reloads at different counts, or a decoder that is read while it changes.",
    "unsteady frames": "Look for a line counter that reloads at different counts; leave the time after power-up out.",
    "no whole lines": "Let the line counter count ends of lines, and decode vertical sync from it alone.",
    "out of range": `Choose a raster that the monitor takes. ${SLOW_MONITOR}`,
    "record too short": "Record more frames.",
  };
  const seen = unheld && unheld.what !== "" ? ` A flat screen shows nothing. ${unheld.what}` : "";
  return { code: reason, what: `No picture: ${reason}. ${detail}${seen}`, todo: todo[reason] };
}

/** Everything that is not as the raster wants it, the syncs first. Empty when all is well. */
export function findingsInPicture(facts: PictureFacts): readonly Finding[] {
  return [
    ...differences(facts.lock, facts.against),
    ...syncFaults(facts.lock),
    ...compositeFaults(facts.lock, facts.against, facts.television),
    ...videoFaults(facts),
  ];
}

function differences(lock: Lock, against: Comparison): Finding[] {
  const { raster } = against;
  const findings: Finding[] = [];
  const name = raster.name;

  if (Math.abs(against.lineRatePercent) > TOLERANCE.ratePercent) {
    const wanted = inHertz(lineRate(raster)) / 1000;
    const what = `The line rate is ${(lock.lineRateHz / 1000).toFixed(3)} kHz, ${signed(against.lineRatePercent, "%")} from the ${wanted.toFixed(3)} kHz of ${name}.`;
    findings.push({ code: "line rate", what, todo: `Change the dot clock or the dots in a line. ${SLOW_MONITOR}` });
  }
  if (against.lines !== 0) {
    const what = `Vertical sync comes every ${lock.linesPerField} lines, not every ${linesPerField(raster)} of ${name}.`;
    findings.push({ code: "lines", what, todo: "Change the count at which the line counter starts again." });
  }
  if (Math.abs(against.fieldRatePercent) > TOLERANCE.ratePercent) {
    const wanted = inHertz(fieldRate(raster));
    const what = `The frame rate is ${lock.fieldRateHz.toFixed(2)} Hz, ${signed(against.fieldRatePercent, "%")} from the ${wanted.toFixed(2)} Hz of ${name}.`;
    findings.push({ code: "frame rate", what, todo: "It follows from the line rate and the lines in a frame." });
  }
  if (Math.abs(against.hSyncWidthPercent) > TOLERANCE.hSyncWidthPercent) {
    const what = `Horizontal sync is ${formatTime(lock.h.width)} wide, ${signed(against.hSyncWidthDots, "dots")} from the ${raster.h.sync} of ${name}.`;
    findings.push({ code: "sync width", what, todo: "Change the columns between which horizontal sync is decoded." });
  }
  if (Math.abs(against.vSyncWidthLines) > TOLERANCE.vSyncWidthLines) {
    const what = `Vertical sync is ${lock.vSyncLines.toFixed(2)} lines wide; ${name} has ${raster.v.sync}.`;
    findings.push({ code: "sync width", what, todo: "Change the lines between which vertical sync is decoded." });
  }
  if (!against.hPolarityAgrees) findings.push(polarity("Horizontal", lock.h.polarity, name));
  if (!against.vPolarityAgrees) findings.push(polarity("Vertical", lock.v.polarity, name));
  return findings;
}

function polarity(which: string, is: Polarity, name: string): Finding {
  const wanted = is === "positive" ? "negative" : "positive";
  const what = `${which} sync is ${is}; ${name} wants it ${wanted}.`;
  return { code: "polarity", what, todo: "Put an inverter in, or take the other output of the last flip-flop." };
}

function syncFaults(lock: Lock): Finding[] {
  const findings: Finding[] = [];
  const oddLines = lock.composite ? lock.oddLines.filter((line) => !isInVerticalSync(lock, line)) : lock.oddLines;
  const [firstOdd] = oddLines;
  if (firstOdd !== undefined) {
    const count = oddLines.length;
    const what = `${count} ${count === 1 ? "line is" : "lines are"} longer or shorter than the rest, the first after sync ${firstOdd} on record.`;
    findings.push({
      code: "odd lines",
      what,
      todo: "Keep horizontal sync going in every line, vertical blanking too.",
    });
  }
  for (const [which, { glitches }] of [["Horizontal", lock.h] as const, ["Vertical", lock.v] as const]) {
    const [first] = glitches;
    if (!first) continue;
    const what = `${which} sync has ${glitches.length} ${glitches.length === 1 ? "glitch" : "glitches"}, the first at ${formatTime(first.at, 4)}, ${formatTime(first.width)} wide.`;
    findings.push({ code: "glitches on sync", what, todo: "Take sync from a flip-flop, not straight from a decoder." });
  }
  if (!lock.interlace && Math.abs(lock.vSyncLag) > FAR_FROM_LINE) {
    const what = `Vertical sync begins ${signed(lock.vSyncLag, "lines")} from horizontal sync, so which line is the first is left to chance.`;
    findings.push({ code: "sync between lines", what, todo: "Clock the line counter nearer to horizontal sync." });
  }
  return findings;
}

function videoFaults({ against, phase, displacement, lit, stray, blackLevel }: PictureFacts): Finding[] {
  if (!lit)
    return [{ code: "dark", what: "The picture is dark.", todo: "Show a test card, or follow the video net back." }];
  const findings: Finding[] = [];
  if (phase && phase.sharpness < LEAST_SHARPNESS) {
    const what = `The video does not change on the dots of ${against.raster.name}: sharpness ${phase.sharpness.toFixed(2)} of 1.`;
    findings.push({
      code: "video off the dots",
      what,
      todo: "Divide the dot clock so that whole dots fit in the line.",
    });
  }
  const dots = displacement.dots - (phase?.dots ?? 0);
  if (Math.round(dots) !== 0 || displacement.rows !== 0) {
    const what = `The picture stands ${signed(Math.round(dots), "dots")} across and ${signed(displacement.rows, "lines")} down from its place.`;
    findings.push({ code: "picture displaced", what, todo: "Move sync, or delay blanking as much as the video." });
  }
  for (const light of stray) findings.push(strayLight(light, blackLevel));
  return findings;
}

function strayLight({ part, lines, first, widest }: StrayLight, blackLevel: BlackLevelError | undefined): Finding {
  const todo: Record<DarkPart, string> = {
    "back porch": "Blank the video until it ends.",
    sync: "Blank the video before sync begins.",
    "front porch": "Blank the video as soon as the last dot has been shown.",
    border: "Blank the border, or accept that the picture is wider than the raster's.",
    "vertical blanking": "Blank the video in all lines outside of the picture.",
  };
  const place = `row ${first.row}, dot ${first.dot.toFixed(1)}`;
  const what = `There is light in the ${part} of ${lines} ${lines === 1 ? "line" : "lines"}, first at ${place}, up to ${widest.toFixed(1)} dots wide.`;
  const effect = part === "back porch" && blackLevel ? ` ${describeBlackLevel(blackLevel)}` : "";
  return { code: "light in blanking", what: what + effect, todo: todo[part] };
}
