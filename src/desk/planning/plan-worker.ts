import { formatProblem } from "../../circuit/index.js";
import { clockText, fallenTexts, headingOf, planSentences, spaceText, wayOutText } from "../../paper/plan-words.js";
import {
  type Distinction,
  type Plan,
  type WishTexts,
  choosePlans,
  designOf,
  distinctionsOf,
  findObstacles,
  obstaclesToWriting,
  readWishFile,
  searchPlans,
  wishesOf,
  writeCircuit,
  writtenChips,
} from "../../planning/index.js";
import { shortName } from "../../raster/index.js";
import type { PlanAsk, PlanLine, PlanTold } from "./plan-protocol.js";

/** Plans that are shown before the others. */
const MOST_CHOSEN = 10;

/** The plans that no other beats, of the last search. */
let front: readonly Plan[] = [];

function tell(told: PlanTold): void {
  self.postMessage(told);
}

/** Searches what can be built, and writes what was chosen of it. */
export function answerPlan(ask: PlanAsk): void {
  if (ask.kind === "search") search(ask.texts);
  else if (ask.kind === "read") read(ask.name, ask.text);
  else if (ask.kind === "look") look(ask.number);
  else write(ask.number);
}

function read(name: string, text: string): void {
  const { texts, problems } = readWishFile(text, name);
  tell(texts ? { kind: "read", texts } : { kind: "unreadable", problems: problems.map(formatProblem) });
}

function search(texts: WishTexts): void {
  const wrong: { key: keyof WishTexts; text: string }[] = [];
  const wishes = wishesOf(texts, (key, misreading) => {
    wrong.push({ key, text: `${misreading.wrong}: expected ${misreading.expected}` });
  });
  if (wrong.length > 0) return tell({ kind: "wrong", wrong });
  const result = searchPlans(wishes);
  front = result.front;
  const searched = spaceText(result);
  if (front.length > 0) {
    const distinctions = distinctionsOf(front);
    const plans = front.map((plan, index) => lineOf(plan, index + 1, distinctions.get(plan) ?? []));
    const chosen = choosePlans(front, MOST_CHOSEN).map((plan) => front.indexOf(plan) + 1);
    return tell({ kind: "found", searched, meeting: result.meeting, plans, chosen });
  }
  const none = { kind: "none", searched, fallen: fallenTexts(result) } as const;
  tell(none);
  tell({ ...none, waysOut: findObstacles(wishes).map((obstacle) => wayOutText(obstacle, wishes)) });
}

function lineOf(plan: Plan, number: number, bestIn: readonly Distinction[]): PlanLine {
  const { columns, rows, raster, memory, family, sharing, figures } = plan;
  const { colours, chips, marginNs, bytesPerSecond, longestWaitNs, deviationPercent, memoryUsed, memoryLeft } = figures;
  return {
    ...{ number, columns, rows, memory, family, sharing, bestIn, colours, chips, marginNs },
    ...{ bytesPerSecond, longestWaitNs, deviationPercent, memoryUsed, memoryLeft },
    isWritable: obstaclesToWriting(plan).length === 0,
    from: `${shortName(raster)} from ${clockText(plan)}`,
  };
}

function look(number: number): void {
  const plan = front[number - 1];
  if (!plan) return;
  const chips = writtenChips(plan);
  tell({
    kind: "looked",
    number,
    sentences: planSentences(plan),
    ...(chips !== undefined && { chips }),
    obstacles: obstaclesToWriting(plan),
  });
}

function write(number: number): void {
  const plan = front[number - 1];
  const design = plan && designOf(plan);
  if (!plan || !design || "notYet" in design) return;
  tell({ kind: "written", number, text: writeCircuit(design, headingOf(plan, number, String(front.length))) });
}
