import type { JudgementComparison, MovedVerdict } from "../judging/index.js";
import { textTable } from "../paper/index.js";
import { BASE_UNITS, type Measure, printMeasure } from "../quantity/index.js";
import { hanging, paragraphs, wrapped } from "./prove-layout.js";

/** Rows of the table; the rest are counted. */
const MOST_ROWS = 30;
/** Changes named beside one verdict. */
const MOST_CAUSES = 2;

/** What is not the same in two versions of a circuit, and what came of it. */
export function comparisonText(
  { changes, moved, unmoved }: JudgementComparison,
  { before, now }: { readonly before: string; readonly now: string },
): string {
  if (changes.length === 0 && moved.length === 0) {
    return `${before} and ${now} are the same circuit, and all ${unmoved} verdicts are the same.`;
  }
  const worse = moved.filter(({ isWorse }) => isWorse).length;
  const fails = moved.filter(({ isWorse, after }) => isWorse && after !== "holds").length;
  return paragraphs([
    wrapped(
      `${count(moved.length, "verdict")} moved, ${worse} for the worse, of which ${fails} ${fails === 1 ? "does" : "do"} not hold; ` +
        `${unmoved} are the same.`,
    ),
    [`From ${before} to ${now}:`, ...changes.map(({ text }) => hanging("- ", text))].join("\n"),
    table(moved.slice(0, MOST_ROWS)),
    moved.length > MOST_ROWS ? `${moved.length - MOST_ROWS} more moved less or for the better: --json lists all.` : "",
    moved.some(({ because }) => because.length === 0)
      ? wrapped("elsewhere: no changed chip is on its way; a load, the supply or another path has changed.")
      : "",
  ]);
}

function table(moved: readonly MovedVerdict[]): string {
  const rows = moved.map((verdict) => [
    stateText(verdict),
    verdict.name,
    print(verdict.marginBefore),
    print(verdict.marginAfter),
    verdict.moved && verdict.moved.amount > 0 ? `+${print(verdict.moved)}` : print(verdict.moved),
    causeText(verdict),
  ]);
  const columns = [
    { head: "state" },
    { head: "verdict", most: 30 },
    { head: "before", align: "right" },
    { head: "now", align: "right" },
    { head: "moved", align: "right" },
    { head: "meets on its way", most: 32 },
  ] as const;
  return rows.length === 0 ? "" : textTable(columns, rows);
}

/** `fails` where that is new, `held, fails`, `new`, `gone`. */
function stateText({ before, after }: MovedVerdict): string {
  if (before === undefined) return `new, ${after ?? ""}`;
  if (after === undefined) return "gone";
  return before === after ? after : `${before === "holds" ? "held" : before}, ${after}`;
}

function causeText({ because }: MovedVerdict): string {
  const [texts, more] = [because.slice(0, MOST_CAUSES).map(({ text }) => text), because.length - MOST_CAUSES];
  if (texts.length === 0) return "elsewhere";
  return more > 0 ? `${texts.join("; ")}; ${more} more` : texts.join("; ");
}

function print(figure: Measure | undefined): string {
  return figure ? printMeasure(figure) : "";
}

function count(number: number, noun: string): string {
  return `${number} ${number === 1 ? noun : `${noun}s`}`;
}

/**
 * The same as data: `changes` (`text`, `chips`), `moved` (`name`, `before` and `after` as states, `marginBefore`,
 * `marginAfter` and `moved` with `amount` and `unit`, `isWorse`, `because`), and how many are `unmoved`.
 */
export function comparisonData({ changes, moved, unmoved }: JudgementComparison) {
  const figure = (name: string, value: Measure | undefined) =>
    value ? { [name]: { amount: value.amount, unit: BASE_UNITS[value.quantity] } } : {};
  return {
    changes: changes.map(({ text, refs }) => ({ text, chips: refs })),
    moved: moved.map(({ name, before, after, marginBefore, marginAfter, moved: by, isWorse, because }) => ({
      name,
      ...(before && { before }),
      ...(after && { after }),
      ...figure("marginBefore", marginBefore),
      ...figure("marginAfter", marginAfter),
      ...figure("moved", by),
      isWorse,
      because: because.map(({ text }) => text),
    })),
    unmoved,
  };
}
