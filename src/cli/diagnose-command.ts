import {
  type AlignedBegin,
  type Board,
  type Observation,
  type Suspect,
  type ComparedCapture,
  type CaptureDeparture,
  type NotAligned,
  Suspicion,
  alignBegin,
  compareCapture,
  comparedSeconds,
  departureLines,
  departureOf,
  fits,
  followerOf,
  galleryOf,
  observationText,
  pinLabel,
  readNotebook,
  readObservation,
  readingText,
  searchPairs,
  whoseHertz,
  standingMeasurements,
} from "../bench/index.js";
import { BadInput } from "./bad-input.js";
import { hearCapture, readCapture } from "./capture-file.js";
import type { Progress } from "../judging/index.js";
import { readCircuitFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";
import { matchPhotograph, showGallery } from "./gallery-run.js";
import { fromCircuit } from "./from-circuit.js";
import { runFaults } from "./faults-run.js";
import { pairLines, pairsWithin } from "./pairs-run.js";
import { type NotebookFile, readNotebookBeside } from "./notebook-file.js";

/** Suspects that are listed, and faults of one suspect. */
const LISTED = 5;
const FAULTS_LISTED = 4;

export const diagnoseCommand = defineCommand({
  name: "diagnose",
  summary: "Say which wire is wrong, from what was measured, and where to measure next",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    measured: {
      kind: "list",
      value: "pin=value",
      summary: "what you found at a pin: 'U5.14=12.5 kHz', 'U5.QA=12.5 kHz 25 %', U2.2=low, U2.2=high, U2.2=open",
    },
    notebook: {
      kind: "flag",
      summary: "take what the notebook beside the circuit file has measured since the last change (see note)",
    },
    gallery: {
      kind: "text",
      value: "folder",
      summary: "write a picture of every look that faults give the screen, and list them",
    },
    shows: {
      kind: "number",
      value: "look",
      least: 1,
      whole: true,
      summary: "the screen shows the look of this number in the gallery",
    },
    photo: {
      kind: "text",
      value: "file",
      summary: "a photograph of the screen, as a PNG: lists the looks nearest to it",
    },
    corners: {
      kind: "text",
      value: "'x,y x,y x,y x,y'",
      summary: "of the picture in the photograph, clockwise from the top left, in dots; by default its whole",
    },
    capture: {
      kind: "text",
      value: "file",
      summary: "what a logic analyser recorded: a value change dump, or a table (.csv)",
    },
    nets: {
      kind: "list",
      value: "channel=net",
      summary: "which net a channel of the capture was on, such as D0=HSYNC; by its name where none is given",
    },
    samplePeriod: {
      kind: "number",
      value: "ns",
      least: 0.001,
      greatest: 1e9,
      summary: "from one sample of the capture to the next; needed where a table has no column of times",
    },
    delays: {
      kind: "number",
      value: "ns",
      least: 0,
      greatest: 1e6,
      summary:
        "by how much edges of a capture may come off those without delays; half an oscillator period and 50 ns by default",
    },
    atRest: { kind: "flag", summary: "the processor leaves the board alone; by default it writes all the time" },
    writeEvery: {
      kind: "number",
      value: "µs",
      least: 0.1,
      greatest: 1000,
      summary: "from one write of the processor to the next; by default as often as the circuit allows",
    },
    seconds: {
      kind: "number",
      value: "s",
      least: 0,
      greatest: 86_400,
      summary: "how long two faults at once are tried where no single one explains what was measured; 30 by default",
    },
    workers: {
      kind: "number",
      value: "n",
      least: 1,
      greatest: 64,
      whole: true,
      summary: "threads; one a core by default",
    },
  },
  examples: [
    "npx dotwright diagnose examples/tide-board.circuit.yaml",
    "npx dotwright diagnose examples/tide-board.circuit.yaml --gallery out/looks",
    "npx dotwright diagnose examples/tide-board.circuit.yaml --measured 'U5.14=high' --measured 'U2.2=1.573 MHz'",
  ],
  async run({ arguments: { file }, options, progress }) {
    const { measured, atRest, writeEvery, workers, shows } = options;
    const { circuit } = await readCircuitFile(file);
    const request = { file, atRest, workers, ...(writeEvery !== undefined && { writeEvery: writeEvery * 1e9 }) };
    const { bench, signatures } = await fromCircuit(file, () => runFaults(circuit, request, progress));
    const suspicion = new Suspicion(bench, signatures);
    const noted = options.notebook ? notedMeasurements(bench.board, await readNotebookBeside(file)) : [];
    const observations = [...noted, ...measured].map((text): Observation => {
      const found = readObservation(bench.board, text);
      if ("problem" in found) throw new BadInput(`--measured ${found.problem}`);
      return found;
    });
    const looks = galleryOf(bench.faults, signatures, bench.good.screens?.[0]);
    if (options.gallery !== undefined) return showGallery(looks, bench.faults, options.gallery);
    if (options.photo !== undefined) return matchPhotograph(looks, bench.faults, options.photo, options.corners);
    const look = shows === undefined ? undefined : looks[shows - 1];
    if (shows !== undefined && !look) throw new BadInput(`--shows ${shows}: the gallery has ${looks.length} looks`);
    const prior = look && suspicion.seeing(look.screen);
    const recorded =
      options.capture === undefined
        ? undefined
        : await captured(options.capture, options.samplePeriod, comparedSeconds(bench.scenario), progress);
    const capture = recorded && compareCapture(bench, recorded.channels, toldNets(options.nets));
    const delays = options.delays === undefined ? {} : { delays: options.delays * 1e-9 };
    const begin = recorded && capture && alignBegin(bench.scenario, capture, recorded.begin, delays);
    const departure =
      begin && options.capture !== undefined
        ? await followed(begin, options.capture, options.samplePeriod, progress)
        : undefined;
    const nameOf = (net: number) => bench.board.nodeNames[net] ?? "";
    observations.push(...(capture?.channels ?? []).flatMap(({ observation }) => observation ?? []));
    const weights = suspicion.weigh(observations, prior);
    const suspects = suspicion.ranked(weights);
    const next = suspicion.next(weights, new Set(observations.map(({ pin }) => pin)));
    const usual = next && suspicion.usualAt(next.pin.id)[0];
    const isExplained = suspicion.isExplained(observations);
    const pairs = isExplained
      ? undefined
      : await pairsWithin(options.seconds, searchPairs(bench, suspicion, observations), progress);
    const lines = [
      `${bench.faults.length} single faults simulated, ${suspicion.classCount} of them or groups of them tell apart by measuring. ${
        bench.scenario.writes ? writing(bench.scenario.writes.every * bench.scenario.edgeFs) : "The processor rests."
      }`,
      ...captureLines(capture, nameOf),
      ...(departure ? departureLines(departure, nameOf) : []),
      ...observations.map((one) => {
        const pin = bench.board.pins[one.pin];
        const [usual] = suspicion.usualAt(one.pin);
        const isOff =
          one.kind === "frequency" &&
          usual.hertz > 0 &&
          !fits({ pin: one.pin, kind: "frequency", hertz: one.hertz }, usual);
        const whose = isOff ? `. ${whoseHertz(bench, usual.hertz, one.hertz)}` : "";
        return `${pin ? pinLabel(pin) : ""}: ${observationText(one)}; right would be ${readingText(usual)}${whose}`;
      }),
      ...(isExplained
        ? []
        : ["", "No single fault on the list explains all of this: measure again.", ...pairLines(pairs)]),
      ...(observations.length > 0 || look
        ? [
            "",
            isExplained ? "Suspects, the likeliest first:" : "Single faults nearest to it:",
            ...suspects.slice(0, LISTED).flatMap(suspectLines),
          ]
        : []),
      "",
      next && usual
        ? `Measure next: ${pinLabel(next.pin)} (${bench.board.nodeNames[next.pin.node]}). Right would be ${readingText(usual)}.`
        : "No further pin tells the suspects apart.",
    ];
    return {
      exitCode: 0,
      text: lines.join("\n"),
      json: {
        faults: bench.faults.length,
        explained: isExplained,
        ...(departure && { capture: departureData(departure, nameOf) }),
        ...(pairs && {
          pairsTried: pairs.tried,
          pairs: pairs.found.map(({ faults }) => faults.map(({ id, kind, text }) => ({ id, kind, text }))),
        }),
        suspects: suspects.slice(0, 20).map(({ share, faults }) => ({
          share,
          faults: faults.map(({ id, kind, text }) => ({ id, kind, text })),
        })),
        ...(next && { next: { pin: pinLabel(next.pin), bits: next.bits } }),
      },
    };
  },
});

/** What the notebook has measured at pins of the board; other places, such as the supply, say nothing of a wire. */
function notedMeasurements(board: Board, { path, text }: NotebookFile): readonly string[] {
  const { entries, problems } = readNotebook(text);
  if (problems.length > 0) {
    throw new BadInput(
      problems.map(({ line, column, message }) => ({
        text: `${path}:${line}:${column}: ${message}`,
        details: { line, column },
      })),
    );
  }
  return standingMeasurements(entries).filter((measured) => !("problem" in readObservation(board, measured)));
}

function writing(everyFs: number): string {
  return `The processor writes the test card over and over, a byte every ${(everyFs / 1e9).toFixed(1)} µs.`;
}

function suspectLines({ faults, share, shortsSupply }: Suspect): string[] {
  const more = faults.length - FAULTS_LISTED;
  const listed = faults.slice(0, FAULTS_LISTED).map(({ text }) => text);
  const [first, ...others] = shortsSupply ? ["The supply is shorted, its current at the limit:", ...listed] : listed;
  return [
    `${`${Math.round(100 * share)}`.padStart(4)} %  ${first}`,
    ...others.map((text) => `        ${text}`),
    ...(more > 0 ? [`        and ${more} more at the same place, or that measure the same`] : []),
  ];
}

async function captured(file: string, samplePeriod: number | undefined, most: number, progress: Progress) {
  const seconds = samplePeriod === undefined ? undefined : samplePeriod * 1e-9;
  return progress.during("reading the capture", (tell) => readCapture(file, seconds, most, tell));
}

/** Holds all of a capture against the board without faults. */
async function followed(
  begin: AlignedBegin | NotAligned,
  file: string,
  samplePeriod: number | undefined,
  progress: Progress,
): Promise<CaptureDeparture | NotAligned> {
  if ("problem" in begin) return begin;
  const follower = followerOf(begin);
  const seconds = samplePeriod === undefined ? undefined : samplePeriod * 1e-9;
  await progress.during("comparing the capture", (tell) => hearCapture(file, seconds, follower.listen, tell));
  return departureOf(begin, follower);
}

function departureData(departure: CaptureDeparture | NotAligned, nameOf: (net: number) => string) {
  if ("problem" in departure) return departure;
  const { nets, compared, drift, leftOut } = departure;
  return {
    seconds: compared,
    ...(drift && { drift }),
    nets: nets.map(({ net, ...one }) => ({ net: nameOf(net), ...one })),
    leftOut: leftOut.map(nameOf),
  };
}

function toldNets(nets: readonly string[]): ReadonlyMap<string, string> {
  return new Map(
    nets.map((text) => {
      const [channel, net] = text.split("=").map((word) => word.trim());
      if (!channel || !net) throw new BadInput(`--nets ${text}: a channel and a net were expected, such as D0=HSYNC`);
      return [channel, net] as const;
    }),
  );
}

function captureLines(capture: ComparedCapture | undefined, nameOf: (net: number) => string): string[] {
  if (!capture) return [];
  const guessed = capture.channels.filter(({ by }) => by === "behaviour");
  const { channels, unknown, clockError } = capture;
  const slow = channels.filter(({ observation }) => !observation).map(({ channel }) => channel.name);
  return [
    `The capture has ${channels.length} nets of the circuit.`,
    ...(clockError === undefined
      ? []
      : [
          `Its clock is ${Math.abs(clockError * 1e6).toFixed(0)} ppm ${clockError < 0 ? "slower" : "faster"} than nominal; taken out below.`,
        ]),
    ...guessed.map(({ channel, net }) => `${channel.name} is taken for ${nameOf(net)}: no other net does the same.`),
    ...(unknown.length > 0 ? [`Not taken for any net: ${unknown.join(", ")}. Say which with --nets.`] : []),
    ...(slow.length > 0 ? [`On record for too short to count: ${slow.join(", ")}.`] : []),
  ];
}
