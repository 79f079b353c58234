import { type Circuit, meaningOf, ownPartsNamed, readCircuit } from "../../circuit/index.js";
import { canBeDecided } from "../../exact/open-verdicts.js";
import { type Judgement, judge, type JudgeListener, type JudgeOptions, type Progress } from "../../judging/index.js";
import {
  accountDrawings,
  chainDrawing,
  drawCycle,
  memoryCycle,
  partPage,
  partPageSections,
  proofAnswer,
  verdictViews,
} from "../../paper/index.js";
import { findPart, isPartProblem, listPartNumbers } from "../../parts/index.js";
import { findRaster, type NoPicture, type Shown } from "../../raster/index.js";
import type { MemoryLayout, NoLayout } from "../../simulation/index.js";
import type { SentLayout } from "../live/protocol.js";
import type { Answered } from "../report/protocol.js";
import { conditionsOf } from "../conditions.js";
import type { Ask, DeskFile, Names, Told } from "../protocol.js";
import { chosenVerdict } from "./chosen-verdict.js";
import { benchPage } from "./bench-answer.js";
import { fillPage } from "./fill-answer.js";
import { lockPage } from "./lock-answer.js";
import { picturePage } from "./picture-answer.js";
import { seenAtOnce, seenWithDelays } from "./seen.js";
import { type Judged, slotsPage } from "./slots-answer.js";
import { wiringPage } from "./wiring-answer.js";

/** What the worker knows of the text that it was last given. */
interface Known {
  readonly file: DeskFile;
  readonly circuit: Circuit;
  judged?: Judged;
  judgement?: Judgement;
  seen?: Shown | NoPicture;
  layout?: SentLayout;
  /** What the text says, once all of it is answered. */
  meaning?: string;
}

let known: Known | undefined;
/** The last text of which all was answered; mistakes may have come since. */
let answeredWhole: Known | undefined;

export function tell(told: Told): void {
  self.postMessage(told);
}

/** Answers what the page asks about the circuit's text; `thorough` is how what bounds leave open is decided, where this can be. */
export async function answer(ask: Exclude<Ask, { kind: "compare" }>, thorough?: JudgeOptions): Promise<void> {
  try {
    switch (ask.kind) {
      case "judge":
        return await judgeFile(ask, thorough);
      case "choose":
        if (known?.judged) {
          tell({
            kind: "chosen",
            verdict: ask.verdict,
            html: chosenVerdict(known.judged, ask.verdict, ask.width).text,
          });
        }
        return;
      case "draw":
        tell({ kind: "drawn", drawing: ask.drawing, html: drawn(ask) });
        return;
      case "part":
        tell({ kind: "part", number: ask.number, html: pageOfPart(ask.number) });
        return;
      case "report":
        tell({ kind: "report", ...(known && { file: known.file, answered: answered(known) }) });
    }
  } catch (error) {
    const revision = "revision" in ask ? ask.revision : -1;
    tell({ kind: "failed", revision, what: error instanceof Error ? error.message : String(error) });
  }
}

/** Everything about one text, the quick answers first. A worker that is asked anew meanwhile is ended from outside. */
async function judgeFile(
  { revision, file, width }: Extract<Ask, { kind: "judge" }>,
  thorough: JudgeOptions | undefined,
): Promise<void> {
  const progress = progressOf(revision);
  const { circuit, problems } = read(file);
  tell({
    kind: "read",
    revision,
    problems,
    ...(circuit && { title: circuit.title, names: namesOf(circuit) }),
  });
  known = undefined;
  if (!circuit) {
    tell({ kind: "done", revision });
    return;
  }
  const meaning = `${meaningOf(file.text)} ${JSON.stringify(file.ownParts)}`;
  // Another comment or layout alone changes no verdict.
  const isSame = answeredWhole?.meaning === meaning;
  const current: Known = isSame ? { ...answeredWhole, file, circuit } : { file, circuit };
  known = current;
  const wiring = wiringPage(circuit);
  tell({ kind: "answer", revision, question: "wiring", ...wiring, isProvisional: false });
  tell({ kind: "answer", revision, question: "fill", ...fillPage(circuit), isProvisional: false });
  tell({ kind: "answer", revision, question: "bench", ...benchPage(circuit), isProvisional: false });

  const show = (judged: Judged, isProvisional: boolean) => {
    current.judged = judged;
    tell({ kind: "answer", revision, question: "slots", ...slotsPage(judged, width), isProvisional });
  };
  if (isSame && current.judged) {
    tellLayout(current, revision);
    tellSeen(current, revision, width, false);
    show(current.judged, false);
    tell({ kind: "done", revision });
    return;
  }
  const lookCloser = await look(current, revision, width, progress);
  const listener: JudgeListener = {
    proved: (bounds, underLoad) => show({ circuit: underLoad, proof: bounds }, true),
    settled: (settled, underLoad) => show({ circuit: underLoad, ...settled }, true),
  };
  const judgement = await judge(circuit, progress, listener, thorough);
  const { loaded, proof, electrical, witnesses } = judgement;
  current.judgement = judgement;
  const isOpen = !thorough && canBeDecided(proof);
  show({ circuit: loaded, proof, electrical, witnesses }, isOpen);
  // The worker that decides what is open begins anew.
  if (!isOpen) {
    await lookCloser();
    current.meaning = meaning;
    answeredWhole = current;
  }
  tell({ kind: isOpen ? "undecided" : "done", revision });
}

/** The judgement of the text that was judged last. */
export function latest(): Judgement | undefined {
  return known?.judgement;
}

export function read(file: DeskFile) {
  const asked = ownPartsNamed(file.text);
  const absent = {
    file: asked ?? "",
    unreadable: "the desk reads nothing but the file it was given: name it with --parts",
  };
  const ownParts = file.ownParts ?? (asked === undefined ? undefined : absent);
  return readCircuit(file.text, file.name, { findRaster, ...(ownParts && { ownParts }) });
}

export function progressOf(revision: number): Progress {
  return {
    during: async (label, work) => {
      let next = 0;
      tell({ kind: "progress", revision, label });
      return work((done, total) => {
        const now = performance.now();
        if (now < next) return;
        next = now + 100;
        tell({ kind: "progress", revision, label, ...(total > 0 && { share: Math.min(1, done / total) }) });
      });
    },
  };
}

function drawn({ drawing, verdict: name, width }: Extract<Ask, { kind: "draw" }>): string {
  const judged = known?.judged;
  if (!judged) return "";
  const { circuit, proof } = judged;
  const verdict = proof.verdicts.find((one) => one.name === name);
  const cycle =
    drawing === "memory-cycle"
      ? memoryCycle(circuit, proof.verdicts)
      : verdict && chainDrawing(circuit, verdict, proof.period);
  return cycle ? drawCycle(cycle, drawing, width).svg.text : "";
}

/**
 * What the monitor makes of the nets without delays. Returns what looks at them again with delays, which takes as long as the
 * proof and rarely says anything else.
 */
async function look(current: Known, revision: number, width: number, progress: Progress): Promise<() => Promise<void>> {
  const { circuit } = current;
  if (!circuit.picture) {
    tellSeen(current, revision, width, false);
    return async () => undefined;
  }
  const answerWith = (monitor: NoPicture | Shown, isProvisional: boolean) => {
    current.seen = monitor;
    tellSeen(current, revision, width, isProvisional);
  };
  const layOut = (layout: MemoryLayout | NoLayout | undefined) => {
    if (layout && !("problem" in layout)) current.layout = sentLayout(layout);
    tellLayout(current, revision);
  };
  const atOnce = await progress.during("looking at the picture without delays", () => seenAtOnce(circuit));
  if (atOnce) {
    layOut(atOnce.layout);
    answerWith(atOnce.monitor, true);
  }
  return async () => {
    const seen = await progress.during("simulating a frame", (report) => seenWithDelays(circuit, atOnce, report));
    if (!atOnce) layOut(seen.layout);
    answerWith(seen.monitor, false);
  };
}

/** What the monitor makes of the nets, as far as it was looked at. */
function tellSeen({ seen }: Known, revision: number, width: number, isProvisional: boolean): void {
  const nothing = { lines: [{ text: "The file names no picture." }], html: "" };
  const answers = { lock: seen ? lockPage(seen, width) : nothing, picture: seen ? picturePage(seen) : nothing };
  for (const question of ["lock", "picture"] as const) {
    tell({ kind: "answer", revision, question, ...answers[question], isProvisional });
  }
}

function tellLayout({ layout }: Known, revision: number): void {
  tell({ kind: "layout", revision, ...(layout && { layout }) });
}

function sentLayout({ memories, ...layout }: MemoryLayout): SentLayout {
  return { ...layout, refs: memories.map(({ ref }) => ref) };
}

function namesOf({ chips, nets }: Circuit): Names {
  return {
    parts: listPartNumbers(),
    nets: nets.map(({ name }) => name),
    pins: Object.fromEntries(chips.map(({ ref, part }) => [ref, part.behaviour.pins.map(({ name }) => name)])),
  };
}

function pageOfPart(number: string): string {
  const conditions = conditionsOf(known?.circuit);
  const inCircuit = known?.circuit.chips.find(({ part }) => part.number === number)?.part;
  const part = inCircuit ?? findPart(number, conditions);
  return isPartProblem(part) ? "" : partPageSections(partPage(part, conditions), "dotwright").text;
}

function answered({ judged, seen }: Known): Answered {
  const cycle = judged && memoryCycle(judged.circuit, judged.proof.verdicts);
  return {
    ...(judged && { verdicts: verdictViews(judged.proof.verdicts), slots: proofAnswer(judged.proof) }),
    ...(judged?.proof.coverage && { coverage: judged.proof.coverage.text }),
    ...(judged?.electrical && { electrical: judged.electrical }),
    ...(cycle && { cycle }),
    ...(judged && { accounts: accountDrawings(judged.circuit, judged.proof, judged.witnesses ?? new Map()) }),
    ...(seen && { seen }),
  };
}
