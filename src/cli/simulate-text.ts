import type { Circuit } from "../circuit/index.js";
import { type Fs, formatTime } from "../quantity/index.js";
import type { Contention, FrameResult, StandIn, Violation } from "../simulation/index.js";
import { findingSentences, lockSentence, standardSentences, unknownSentences } from "./screen-text.js";
import { isScriptInOrder, scriptSentences } from "./script-text.js";
import { wavesText } from "./waves-text.js";

/** No more of a kind than this are listed one by one. */
const MOST_LISTED = 8;

/** What the monitor says, in short sentences, and what else came up. */
export function describeFrame(circuit: Circuit, seen: FrameResult): readonly string[] {
  return [
    lockSentence(seen, " The raster that the file names is not known."),
    ...(seen.monitor.locked ? [...standardSentences(seen.monitor), pictureSentence(circuit, seen)] : []),
    ...findingSentences(seen),
    ...unknownSentences(seen.unknownSyncFs, seen.unknownVideoFs),
    ...watchSentences(seen),
    ...contentionSentences(circuit, seen.contentions.ended, seen.contentions.count),
    ...writeSentences(seen),
    ...(seen.script ? scriptSentences(seen.script) : []),
    ...standInSentences(seen.standIns),
    ...layoutSentences(seen),
    ...shortenedSentences(circuit, seen),
    `Simulated ${formatTime(seen.simulated)} of the circuit's time, ${(seen.events / 1e6).toFixed(1)} million events.`,
  ];
}

/** Whether the monitor locks, the raster is met, and all that was looked for is in order. */
export function isInOrder(seen: FrameResult): boolean {
  const { monitor, raster, difference, standIns, violations, unknownSyncFs, script } = seen;
  const showsCard = difference === undefined || (difference.sameSize && difference.count === 0);
  const isUnharmed = (violations ?? []).every(({ asynchronous }) => asynchronous);
  const meets = monitor.locked && raster !== undefined && monitor.against.meets;
  if (script && !isScriptInOrder(script)) return false;
  return meets && showsCard && isUnharmed && standIns.length === 0 && unknownSyncFs === 0;
}

/** What is seen of a picture, with delays or without. */
type SeenPicture = Pick<FrameResult, "monitor" | "picture" | "repeats" | "difference">;

/** How large the picture is, and how it differs from the test card. */
export function pictureSentence(
  { picture: wanted }: Circuit,
  { monitor, picture, repeats, difference }: SeenPicture,
): string {
  if (!monitor.locked) return "";
  const { width, height } = picture ?? monitor.picture;
  const size = `Picture: ${width} x ${height} dots`;
  const smeared = repeats && repeats.unequal > 0 ? `; ${repeats.unequal} dots are smeared on the raster` : "";
  if (!picture) {
    return `${size} of the raster, which ${wanted?.width} x ${wanted?.height} dots do not divide.`;
  }
  if (!difference) return `${size}${smeared}.`;
  if (!difference.sameSize || difference.count > 0) {
    const where =
      difference.sameSize && difference.first ? `, first at ${difference.first.x}, ${difference.first.y}` : "";
    const count = difference.sameSize ? difference.count : width * height;
    return `${size}, ${count} of ${width * height} unlike the test card${where}${smeared}.`;
  }
  return `${size}, the test card dot for dot${smeared}.`;
}

function watchSentences({ violations, notWatched, around }: FrameResult): string[] {
  if (!violations) return [];
  const [expected, others] = [
    violations.filter((one) => one.asynchronous),
    violations.filter((one) => !one.asynchronous),
  ];
  const gaps =
    notWatched && notWatched.length > 0 ? [`Not watched for want of a figure: ${notWatched.join("; ")}.`] : [];
  return [
    others.length === 0
      ? "Watched: every chip was given the times that it asks for."
      : `Watched: ${others.length} ${others.length === 1 ? "requirement was" : "requirements were"} not met.`,
    ...listed([...others].sort(worstFirst).map((one) => `  ${violationText(one)}`)),
    ...expected.map((one) => `  ${violationText(one)} It may come at any time; let two flip-flops follow it.`),
    ...gaps,
    ...(around ? ["", wavesText(placeOf(around.violation), around.waves), ""] : []),
  ];
}

function placeOf({ rule, chip, pin, reference, required }: Violation): string {
  return `${chip.ref} ${pin}${reference === undefined ? "" : ` to ${reference}`}: ${rule} ${required.symbol}`;
}

function worstFirst(a: Violation, b: Violation): number {
  return a.actual - a.required.time - (b.actual - b.required.time);
}

function violationText(violation: Violation): string {
  const { required, actual, count, firstAt, worstAt } = violation;
  const times = count === 1 ? "once" : `${count} times`;
  const moments = count === 1 ? `at ${time(firstAt)}` : `first at ${time(firstAt)}, worst at ${time(worstAt)}`;
  return `${placeOf(violation)} ${time(actual)} of ${time(required.time)}, ${times}, ${moments}.`;
}

function contentionSentences({ allowedContention }: Circuit, ended: readonly Contention[], count: number): string[] {
  if (count === 0) return [];
  const longest = ended.reduce<Contention | undefined>(
    (worst, one) => (lasted(one) > lasted(worst) ? one : worst),
    undefined,
  );
  if (!longest) return [];
  const allowed = lasted(longest) <= allowedContention ? ", which the file allows" : "";
  const clash = longest.opposed ? "against each other" : "alike";
  return [
    `Two drivers on a net ${count} times; the longest among the first ${ended.length}: ${longest.net.name} for ` +
      `${time(lasted(longest))} at ${time(longest.from)}, by ${longest.pins.join(" and ")}, ${clash}${allowed}.`,
  ];
}

function lasted(one: Contention | undefined): number {
  return one?.to === undefined ? 0 : one.to - one.from;
}

function writeSentences({ memories }: FrameResult): string[] {
  return memories.flatMap(({ ref, writeCount, strayCount, strayWrites }) => {
    if (writeCount === 0 && strayCount === 0) return [];
    const [first] = strayWrites;
    const where = first?.address === undefined ? "its address unknown" : `to address ${first.address}`;
    const stray = first ? ` and ${strayCount} stray ones, the first at ${time(first.time)}, ${where}` : "";
    return [`${ref}: ${writeCount} writes${stray}.`];
  });
}

function standInSentences(standIns: readonly StandIn[]): string[] {
  const [first] = standIns;
  if (!first) return [];
  return [
    `Not covered: ${standIns.length} delays have no figure; ${formatTime(first.delay)} stood in for each.`,
    ...listed(standIns.map(({ arc, missing }) => `  ${arc}: ${missing}`)),
  ];
}

/** Why there is no whole test card. */
export function layoutSentences({ layout }: Pick<FrameResult, "layout">): string[] {
  if (!layout) return [];
  if ("problem" in layout) return [`No test card; the memory holds random bytes: ${layout.problem}`];
  if (layout.found === 1) return [];
  const share = (100 * layout.found).toFixed(0);
  return [`Only ${share} % of the dots show a bit of the memory as it is, so the test card has gaps.`];
}

/** Inputs that did not stay active as long as the file says. */
export function shortenedSentences({ nets }: Circuit, { shortened }: Pick<FrameResult, "shortened">): string[] {
  return shortened.map((net) => `${nets[net]?.name} is let go sooner here than the file says, to save time.`);
}

function listed(lines: readonly string[]): readonly string[] {
  const rest = lines.length - MOST_LISTED;
  return rest > 1 ? [...lines.slice(0, MOST_LISTED), `  and ${rest} more`] : lines;
}

function time(value: number): string {
  return formatTime(Math.round(value) as Fs);
}
