import type { Circuit } from "../circuit/index.js";
import { type Fs, formatTime, inNs } from "../quantity/index.js";
import type { FoundDoubt, SeenWithoutDelays, TooMuchOpen } from "../simulation/index.js";
import { screenData } from "./screen-data.js";
import { findingSentences, lockSentence, standardSentences, unknownSentences } from "./screen-text.js";
import { isScriptInOrder, scriptData, scriptSentences } from "./script-text.js";
import { layoutSentences, pictureSentence, shortenedSentences } from "./simulate-text.js";

/** No more places in doubt than this are listed one by one. */
const MOST_LISTED = 8;

/** What the monitor shows of a circuit whose chips answer at once, in short sentences, and what that leaves open. */
export function describeWithoutDelays(circuit: Circuit, seen: SeenWithoutDelays): readonly string[] {
  const { monitor, script, memories, simulated, steps } = seen;
  return [
    lockSentence(seen, " The raster that the file names is not known."),
    ...(monitor.locked ? [...standardSentences(monitor), pictureSentence(circuit, seen)] : []),
    ...findingSentences(seen),
    ...unknownSentences(seen.unknownSyncFs, seen.unknownVideoFs),
    ...doubtSentences(seen.doubts),
    ...memories.flatMap(({ ref, writes }) => (writes > 0 ? [`${ref}: ${writes} writes.`] : [])),
    ...(script ? scriptSentences(script) : []),
    ...layoutSentences(seen),
    ...shortenedSentences(circuit, seen),
    `Simulated ${formatTime(simulated)} of the circuit's time without delays, ${(steps / 1e6).toFixed(1)} million edges: ` +
      "the logic's picture. Whether a board is quick enough for it, `prove` says.",
  ];
}

/** Whether the monitor locks, the raster is met, nothing hangs on delays, and all else that was looked for is in order. */
export function isInOrderWithoutDelays(seen: SeenWithoutDelays): boolean {
  const { monitor, raster, difference, doubts, unknownSyncFs, script } = seen;
  const showsCard = difference === undefined || (difference.sameSize && difference.count === 0);
  const meets = monitor.locked && raster !== undefined && monitor.against.meets;
  const isSure = doubts.length === 0 && unknownSyncFs === 0;
  return meets && showsCard && isSure && (script === undefined || isScriptInOrder(script));
}

/** What a run says that was given up because the outcome hangs on delays at almost every edge. */
export function describeGivenUp({ doubts }: TooMuchOpen): readonly string[] {
  if (doubts.length === 0) {
    return [
      "Stopped: at almost every edge nets change together, and trying every order of them takes too long. " +
        "`--delays typical` shows what one board does.",
    ];
  }
  return ["Stopped: the outcome is open at almost every edge, so there is no picture.", ...doubtSentences(doubts)];
}

/** The same as data for other programs. */
export function givenUpData({ doubts }: TooMuchOpen) {
  return { inOrder: false, stopped: true, hangsOnDelays: doubts.map(doubtData) };
}

function doubtData({ kind, place, nets, firstAt, count }: FoundDoubt) {
  return { kind, place, nets, firstAt: inNs(firstAt as Fs), count };
}

function doubtSentences(doubts: readonly FoundDoubt[]): readonly string[] {
  if (doubts.length === 0) return [];
  const rest = doubts.length - MOST_LISTED;
  return [
    "Without delays it is open what happens here; what is stored is unknown from then on. " +
      "`--delays typical` shows what one board does.",
    ...doubts.slice(0, rest > 1 ? MOST_LISTED : doubts.length).map((doubt) => `  ${doubtText(doubt)}`),
    ...(rest > 1 ? [`  and ${rest} more`] : []),
  ];
}

function doubtText({ kind, place, nets, firstAt, count }: FoundDoubt): string {
  const named = [...new Set(nets)];
  const list = named.length > 4 ? `${named.slice(0, 4).join(", ")} and ${named.length - 4} more` : named.join(", ");
  const times = `${count === 1 ? "once" : `${count} times`}, first at ${formatTime(Math.round(firstAt) as Fs)}`;
  switch (kind) {
    case "race":
      return `${place}: ${list} change at once, and the order matters; ${times}.`;
    case "pulse":
      return `${place}: ${list} may pulse, and a pulse matters; ${times}.`;
    case "address moves":
      return `${place}: ${list} may change during a write; ${times}.`;
    case "loop":
      return `${place}: the loop of ${list} comes to no rest, or to one or another; ${times}.`;
    case "unknown":
      return `${place}: takes a level that nobody drives or several fight over; ${times}.`;
  }
}

/** The same as data for other programs. Times are in nanoseconds unless the name says otherwise. */
export function withoutDelaysData({ nets }: Circuit, seen: SeenWithoutDelays) {
  const { monitor, raster, picture, repeats, difference, layout, script } = seen;
  const time = (value: number) => inNs(value as Fs);
  return {
    inOrder: isInOrderWithoutDelays(seen),
    ...screenData({ monitor, ...(raster && { raster }) }),
    ...(picture && { picture: { width: picture.width, height: picture.height } }),
    ...(repeats && { smearedDots: repeats.unequal }),
    ...(difference && { unlikeTestCard: difference.sameSize ? difference.count : "another size" }),
    ...(layout && ("problem" in layout ? { noTestCard: layout.problem } : { dotsFoundInMemory: layout.found })),
    unknownSync: time(seen.unknownSyncFs),
    unknownVideo: time(seen.unknownVideoFs),
    hangsOnDelays: seen.doubts.map(doubtData),
    ...(script && { script: scriptData(script) }),
    memories: seen.memories.map(({ ref, writes }) => ({ chip: ref, writes })),
    resetsShortened: seen.shortened.map((net) => nets[net]?.name),
    simulatedMs: time(seen.simulated) / 1e6,
    edges: seen.steps,
    edgesInRounds: seen.inRounds,
    edgesWithUnknownLevels: seen.careful,
  };
}
