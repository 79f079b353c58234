import type { BringUpStep, Notebook } from "../bench/index.js";
import type { Circuit } from "../circuit/index.js";
import type { ElectricalFindings } from "../electrical/index.js";
import type { NoMap, Sample } from "../loading/index.js";
import { encodePng, type NoPicture, type Shown } from "../raster/index.js";
import { modelLimits } from "../timing/index.js";
import type { AccountDrawing } from "./account-drawings.js";
import { bringUpSection } from "./book/bring-up-section.js";
import { bookStyle, type Chapter, chapterMarkup, contents, entriesOf } from "./book/chapters.js";
import { type Diagrams, diagramSections } from "./book/diagram-sections.js";
import { type Gallery, gallerySection } from "./book/gallery-section.js";
import { memorySection } from "./book/memory-section.js";
import { notebookSection } from "./book/notebook-section.js";
import { type Answer, electricalFindingsAnswer, lockAnswer, pictureAnswer, slotAnswer, wireAnswer } from "./answers.js";
import type { CycleDrawing } from "./cycle-drawing.js";
import { electricalPart, everyElectricalCheck } from "./electrical-part.js";
import { findingList } from "./finding-list.js";
import { type Markup, markup } from "./markup.js";
import { page, scrolling, section } from "./page.js";
import { pngUri } from "./png-uri.js";
import { drawRaster } from "./raster-drawing.js";
import { rasterView } from "./raster-view.js";
import { SourceList } from "./source-list.js";
import { timingFigure } from "./timing-figure.js";
import { plainVerdictTable, stateSign, verdictTable } from "./verdict-table.js";
import { type VerdictView, worstFirst } from "./verdict-view.js";
import { wiringList } from "./wiring-list.js";
import { cautionsSection, wiringSections } from "./wiring-page.js";

/** What a report is made of. What is absent has not been worked out: without verdicts the report says so. */
export interface ReportInput {
  readonly circuit: Circuit;
  /** What the file says of itself above its first key, a paragraph each. */
  readonly about?: readonly string[];
  readonly diagrams?: Diagrams;
  /** The steps of bringing the board up, where they could be worked out. */
  readonly bringUp?: readonly BringUpStep[];
  /** On which page each heading stands, by its id, once that has been found out. */
  readonly pages?: ReadonlyMap<string, number>;
  /** The circuit file's name, as the reader knows it. */
  readonly file: string;
  /** `dotwright 0.1.0`. */
  readonly madeBy: string;
  readonly verdicts?: readonly VerdictView[];
  /** The answer to whether every slot fits, where the verdicts' proof gave it; worked out from the verdicts otherwise. */
  readonly slots?: Answer;
  /** What the proof has looked at, and how it is known that nothing else can occur, in a few sentences. */
  readonly coverage?: string;
  /** Levels, loads and supply. */
  readonly electrical?: ElectricalFindings;
  readonly cycle?: CycleDrawing;
  /** The worst verdicts drawn, worst first. */
  readonly accounts?: readonly AccountDrawing[];
  /** What a monitor makes of the simulated nets. */
  readonly seen?: Shown | NoPicture;
  /** What single faults do to the screen. */
  readonly gallery?: Gallery;
  /** What the bench notebook beside the circuit file has. */
  readonly notebook?: Notebook;
  /** A first picture in the memory. */
  readonly sample?: Sample | NoMap;
}

/** Of timing drawings, in px: printed upright, their letters are then 6.5 points high. */
const figureWidth = 880;

/** Failures shown with their chains; the rest stand in the table of every check. */
const mostFailures = 40;

/** The whole report as one HTML page that prints as a book and needs no network and no scripts. */
export function report(input: ReportInput): string {
  const { circuit, madeBy, pages } = input;
  const chapters = chaptersOf(input);
  const list = markup`${section({ id: "contents", heading: "Contents", content: contents(entriesOf(chapters, pages)) })}`;
  const [first, ...others] = chapters;
  const whole = first ? [{ ...first, sections: [...first.sections, list] }, ...others] : [];
  const body = markup`<main>\n${chapterMarkup(whole)}</main>\n`;
  return page(`${circuit.title}: report`, body, bookStyle(circuit.title, madeBy, whole));
}

/** In the order in which a builder needs them: what it is, what to buy and wire, how to bring it up, and why it holds. */
function chaptersOf(input: ReportInput): Chapter[] {
  const { circuit, file, madeBy, about, diagrams, verdicts, coverage, electrical, cycle, accounts = [] } = input;
  const { seen, gallery, sample } = input;
  const sources = new SourceList();
  const picture = seen?.locked ? pngUri(encodePng(seen.picture)) : undefined;
  const [parts, wiring, pins] = wiringSections(circuit);
  const chapters: Chapter[] = [
    {
      title: "In short",
      sections: [
        titlePart(circuit, file, madeBy, about?.[0]),
        section({ id: "answers", heading: "In short", content: answerList(answersOf(input)) }),
        cautionsSection(circuit),
      ],
    },
    { title: "Parts", sections: [parts] },
    ...(diagrams ? [{ title: "Diagrams", sections: diagramSections(circuit, diagrams) }] : []),
    { title: "Pin maps", sections: [pins] },
    { title: "Wiring", sections: [wiring] },
    { title: "Bringing it up", sections: [bringUpSection(circuit, input.bringUp, electrical, seen)] },
    ...(input.notebook && input.notebook.entries.length > 0
      ? [{ title: "Notebook", sections: [notebookSection(input.notebook)] }]
      : []),
    {
      title: "Timing",
      sections: [
        cycle && cyclePart(cycle),
        slotsPart(verdicts ?? [], coverage, sources),
        accounts.length > 0 && accountsPart(accounts),
        verdicts &&
          section({ id: "limits", heading: "What the verdict does not see", content: bullets(modelLimits(circuit)) }),
      ],
    },
    ...(electrical ? [{ title: "Levels, loads, power", sections: [electricalPart(electrical, sources)] }] : []),
    ...(seen
      ? [
          {
            title: "Picture",
            sections: [lockPart(seen, picture), seen.locked && picture !== undefined && picturePart(seen, picture)],
          },
        ]
      : []),
    ...(gallery && gallery.looks.length > 0 ? [{ title: "Faults", sections: [gallerySection(gallery, file)] }] : []),
    ...(sample ? [{ title: "Memory", sections: [memorySection(sample, file)] }] : []),
    {
      title: "Every check",
      sections: [verdicts && everyCheck(verdicts), electrical && everyElectricalCheck(electrical)],
    },
  ];
  const listed = {
    title: "Sources",
    sections: [
      section({
        id: "sources",
        heading: "Sources of figures",
        notes: markup`<p>An asterisk marks a minimum that no sheet states and that follows from the file's assumption.</p>`,
        content: sources.list(),
      }),
    ],
  };
  const whole = sources.isEmpty ? chapters : [...chapters, listed];
  return whole.filter(({ sections }) => sections.some((part) => part !== undefined && part !== false));
}

function answersOf({ circuit, verdicts, slots, electrical, seen }: ReportInput): Answer[] {
  return [
    slots ?? slotAnswer(verdicts ?? []),
    ...(electrical ? [electricalFindingsAnswer(electrical)] : []),
    ...(seen ? [lockAnswer(seen), pictureAnswer(seen)] : []),
    wireAnswer(wiringList(circuit)),
  ];
}

function titlePart(
  { title, build, supplies, ambientCelsius }: Circuit,
  file: string,
  madeBy: string,
  job: string | undefined,
): Markup {
  const volts = supplies.map(({ volts: { min, max } }) => `${min} to ${max} V`).join(" and ");
  return markup`<header>
<div class="margin"></div>
<div class="content"><h1>${title}</h1>
<p class="quiet">${file}; built on ${build}, ${volts}, ${ambientCelsius.min} to ${ambientCelsius.max} °C. Made by ${madeBy}.</p>
${job !== undefined && markup`<p class="job">${job}</p>\n`}</div>
</header>
`;
}

function answerList(answers: readonly Answer[]): Markup {
  const items = answers.map(
    ({ question, state, answer, section: id }) =>
      markup`<li><a href="#${id}">${question}</a><span class="answer">${state && stateSign(state)}${answer}</span></li>\n`,
  );
  return markup`<ul class="answers">\n${items}</ul>\n`;
}

function slotsPart(verdicts: readonly VerdictView[], coverage: string | undefined, sources: SourceList): Markup {
  const sorted = worstFirst(verdicts);
  const bad = sorted.filter(({ state }) => state !== "holds");
  const firstOfRule = new Map<string, VerdictView>();
  for (const verdict of sorted) if (!firstOfRule.has(verdict.rule)) firstOfRule.set(verdict.rule, verdict);
  const tightest = [...firstOfRule.values()].filter(({ state }) => state === "holds");
  const hidden = bad.length - mostFailures;
  return section({
    id: "slots",
    heading: "Does every slot fit?",
    notes: markup`<p>Under each verdict stands the chain that sets its margin: least to greatest delay of each step.</p><p>The worst occurrence of each rule at each place; worst first.</p>`,
    content: markup`${coverage !== undefined && markup`<p>${coverage}</p>\n`}${scrolling("Tables of verdicts", [
      verdicts.length === 0 && markup`<p>No rule was checked, so nothing is known about the timing.</p>\n`,
      bad.length > 0 && verdictTable("What does not hold", bad.slice(0, mostFailures), sources),
      hidden > 0 && markup`<p>${hidden} more stand in the table of every check.</p>\n`,
      tightest.length > 0 && verdictTable("What holds: the tightest place of each rule", tightest, sources),
    ])}`,
  });
}

function everyCheck(verdicts: readonly VerdictView[]): Markup {
  return section({
    id: "checks",
    heading: "Every check",
    newSheet: true,
    content: scrolling(
      "Table of every check",
      plainVerdictTable("Each rule at each place, worst first", worstFirst(verdicts)),
    ),
  });
}

function cyclePart(cycle: CycleDrawing): Markup {
  return section({
    id: "cycle",
    heading: "The memory cycle",
    notes: markup`<p>Every edge spans its earliest to its latest moment.</p>`,
    content: timingFigure(cycle, { name: "cycle", width: figureWidth, label: "Timing drawing of the memory cycle" }),
  });
}

function accountsPart(accounts: readonly AccountDrawing[]): Markup {
  const drawn = (drawing: CycleDrawing, name: string) =>
    timingFigure(drawing, { name, width: figureWidth, label: drawing.title });
  return section({
    id: "accounts",
    heading: "How the worst come about",
    notes: markup`<p>The two chains of delays that set a margin; under a failure, a board within all limits on which it happens.</p>`,
    content: accounts.map(
      ({ heading, sentence, chain, board }, index) =>
        markup`<div class="account"><h3>${heading}</h3>\n<p>${sentence}</p>\n${drawn(chain, `chain-${index}`)}${board && markup`<p>On one board within all limits:</p>\n${drawn(board, `board-${index}`)}`}</div>\n`,
    ),
  });
}

function lockPart(seen: Shown | NoPicture, picture: string | undefined): Markup {
  if (!seen.locked) {
    return section({ id: "lock", heading: "Will the monitor lock?", content: findingList(seen.findings) });
  }
  const view = rasterView(seen);
  return section({
    id: "lock",
    heading: "Will the monitor lock?",
    notes: markup`<p>Measured on the simulated sync and video nets, as a monitor would.</p><p>Per cent of ${view.standard}: ${view.source}</p>`,
    across: true,
    content: markup`${findingList(seen.findings)}<figure>
${scrolling("One line and one frame to scale", drawRaster(view, picture).svg)}
${!view.porchesSeen && markup`<figcaption>The picture is dark, so its edges cannot be seen: the porches are the standard's.</figcaption>`}</figure>
`,
  });
}

function picturePart({ picture: { width, height } }: Shown, uri: string): Markup {
  return section({
    id: "picture",
    heading: "What will I see?",
    content: markup`<figure>
<img class="picture" src="${uri}" width="${width}" height="${height}" alt="The picture that the monitor shows, ${width} by ${height} dots">
<figcaption>One frame, sampled in the middle of every dot.</figcaption>
</figure>
`,
  });
}

function bullets(sentences: readonly string[]): Markup {
  return markup`<ul>\n${sentences.map((sentence) => markup`<li>${sentence}</li>\n`)}</ul>\n`;
}
