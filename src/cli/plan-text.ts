import { pageWidth, textTable, wrapText } from "../paper/index.js";
import {
  count,
  fallenTexts,
  marginText,
  planSentences,
  rateText,
  spaceText,
  waitText,
  wayOutText,
} from "../paper/plan-words.js";
import {
  type Distinction,
  type Plan,
  type SearchResult,
  type StandsInTheWay,
  type Wishes,
  distinctionsOf,
  obstaclesToWriting,
  writtenChips,
} from "../planning/index.js";

/** The plans that are shown, each with its number among all that no other beats. */
export function plansText(result: SearchResult, shown: readonly Plan[]): string {
  const { front, meeting } = result;
  const distinctions = distinctionsOf(front);
  const numbers = new Map(front.map((plan, index) => [plan, index + 1]));
  const of = (plan: Plan) => numbers.get(plan) ?? 0;
  const rows = shown.map((plan) => [String(of(plan)), ...cells(plan)]);
  const table = textTable(
    [
      { head: "no", align: "right" },
      { head: "picture", align: "right" },
      { head: "colours", align: "right" },
      { head: "chips", align: "right" },
      { head: "margin", align: "right" },
      { head: "writes", align: "right" },
      { head: "wait", align: "right" },
      { head: "off", align: "right" },
      { head: "processor" },
    ],
    rows,
  );
  const intro = [
    `${count(meeting)} of ${spaceText(result)} meet the wishes; ${front.length === 1 ? "one" : count(front.length)} of them ${front.length === 1 ? "is" : "are"} beaten by no other` +
      (shown.length < front.length
        ? `. ${shown.length} are shown: the best in each figure, then those that are bad at none (--all shows all).`
        : "."),
  ].flatMap((text) => wrapText(text, pageWidth));
  const details = shown.flatMap((plan) => detailLines(plan, of(plan), distinctions.get(plan) ?? []));
  const notes = wrapText(
    "Chips and margins are estimates from data-sheet limits, made to choose by; 'prove' judges the circuit. Dots that are " +
      "not square, or a picture that does not fill the screen, are as wished. Check a fixed-frequency monitor's manual " +
      "before you connect anything: a wrong line rate can damage it.",
    pageWidth,
  );
  return [...intro, "", table, "", ...details, ...notes].join("\n");
}

/** What stands in the way where no plan meets the wishes. */
export function obstaclesText(result: SearchResult, obstacles: readonly StandsInTheWay[], wishes: Wishes): string {
  const lines = wrapText(`None of ${spaceText(result)} meets all wishes.`, pageWidth);
  lines.push("", "What they fell at:");
  for (const fallen of fallenTexts(result)) lines.push(...bullet(fallen));
  if (obstacles.length === 0) {
    lines.push("", ...wrapText("No one or two of the wishes make room by being left out; leave out more.", pageWidth));
    return lines.join("\n");
  }
  lines.push("", "What makes room, and the nearest plan then:");
  for (const obstacle of obstacles) lines.push(...bullet(wayOutText(obstacle, wishes)));
  return lines.join("\n");
}

function bullet(text: string): readonly string[] {
  return wrapText(text, pageWidth - 2).map((line, index) => (index === 0 ? `- ${line}` : `  ${line}`));
}

function cells({ columns, rows, figures, sharing }: Plan): readonly string[] {
  return [
    `${columns}×${rows}`,
    String(figures.colours),
    String(figures.chips),
    marginText(figures),
    rateText(figures.bytesPerSecond),
    waitText(figures.longestWaitNs),
    `${figures.deviationPercent.toFixed(1)} %`,
    sharing,
  ];
}

function detailLines(plan: Plan, number: number, distinctions: readonly Distinction[]): readonly string[] {
  const best = distinctions.length > 0 ? ` (${distinctions.join(", ")})` : "";
  const [chips, [obstacle]] = [writtenChips(plan), obstaclesToWriting(plan)];
  const written =
    chips === undefined
      ? `No circuit of it can be written: ${obstacle}.`
      : `The circuit that --write makes has ${chips} chips; ${plan.figures.chips} were estimated.`;
  return [
    `${number}${best}`,
    ...[...planSentences(plan), written].flatMap((text) => wrapText(text, pageWidth - 2).map((one) => `  ${one}`)),
    "",
  ];
}
