import { readCircuit } from "../../circuit/index.js";
import { type Repair, evaluateText, pictureText, repair, screenText, whatIf } from "../../planning/index.js";
import { findRaster } from "../../raster/index.js";
import type { DeskFile } from "../protocol.js";
import { bearsHtml } from "./bears-html.js";
import type { Mended, TrialsAsk, TrialsTold } from "./trials-protocol.js";

/** Proofs of whole texts that a repair may take. */
const MOST_PROOFS = 60;
/** Milliseconds between two tellings. */
const INTERVAL = 200;

function tell(told: TrialsTold): void {
  self.postMessage(told);
}

/** Tries a text otherwise, or looks for what mends it; whoever has enough ends the worker. */
export async function answerTrials({ kind, file }: TrialsAsk): Promise<void> {
  try {
    if (kind === "bears") bears(file);
    else await mends(file);
    tell({ kind: "done" });
  } catch (error) {
    tell({ kind: "cannot", problem: error instanceof Error ? error.message : String(error) });
  }
}

function readingOf({ ownParts }: DeskFile) {
  return { findRaster, ...(ownParts && { ownParts }) };
}

function bears(file: DeskFile): void {
  const found = whatIf(file.text, {
    file: file.name,
    reading: readingOf(file),
    clock: () => performance.now(),
    onProof: (done, expected, what) => tell({ kind: "progress", done, expected, what }),
    onFound: (soFar) => tell({ kind: "known", html: bearsHtml(soFar) }),
  });
  tell({ kind: "known", html: bearsHtml(found) });
}

async function mends(file: DeskFile): Promise<void> {
  let done = 0;
  let next = 0;
  const progress = (what: string) => {
    if (performance.now() < next) return;
    next = performance.now() + INTERVAL;
    tell({ kind: "progress", done, expected: MOST_PROOFS, what });
  };
  const { failing, repairs, nearest, proofs } = await repair(file.text, {
    mostProofs: MOST_PROOFS,
    enough: 1,
    clock: () => performance.now(),
    mayGoOn: () => {
      progress("changes");
      return true;
    },
    read: (text) => readCircuit(text, file.name, readingOf(file)).circuit,
    screen: (text, periods) => screenText(text, file.name, readingOf(file), periods),
    picture: (text) => pictureText(text, file.name, readingOf(file)),
    evaluate: async (text, limits) => {
      const evaluation = evaluateText(text, file.name, readingOf(file), limits);
      if (!limits.only && !evaluation.stopped) done++;
      progress("changes");
      return evaluation;
    },
  });
  if (repairs.length > 0) {
    const sentence = `Proved in ${proofs} proofs: after this nothing fails.`;
    return tell({ kind: "mended", repairs: repairs.map(mendedOf), sentence });
  }
  const sentence = nearest
    ? `No changes were found after which nothing fails, in ${proofs} proofs. Nearest, with ${nearest.evaluation.failing.length + nearest.evaluation.electrical.length} checks that still fail:`
    : failing === 0
      ? "Nothing fails."
      : `No changes were found after which less fails, in ${proofs} proofs.`;
  tell({ kind: "mended", repairs: nearest ? [mendedOf(nearest)] : [], sentence });
}

function mendedOf({ changes, text, evaluation: { leastMargin } }: Repair): Mended {
  const chips = changes.reduce((sum, change) => sum + change.chips, 0);
  const more = chips === 0 ? "no chip more" : chips === 1 ? "one chip more" : `${chips} chips more`;
  return {
    changes: changes.map(({ what }) => what),
    text,
    comesTo: leastMargin === undefined ? more : `${more}, least margin ${(leastMargin / 1e6).toFixed(2)} ns`,
    movesTimes: changes.some(({ kind }) => kind !== "part" && kind !== "pull-up"),
  };
}
