import {
  type Observation,
  type Suspect,
  Suspicion,
  observationText,
  pinLabel,
  readObservation,
  readingText,
} from "../bench/index.js";
import { BadInput } from "./bad-input.js";
import { readCircuitFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";
import { runFaults } from "./faults-run.js";

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
    atRest: { kind: "flag", summary: "the processor leaves the board alone; by default it writes all the time" },
    writeEvery: {
      kind: "number",
      value: "µs",
      least: 0.1,
      greatest: 1000,
      summary: "from one write of the processor to the next; by default as often as the circuit allows",
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
    "npx dotwright diagnose examples/tide-board.circuit.yaml --measured 'U5.14=high' --measured 'U2.2=1.573 MHz'",
  ],
  async run({ arguments: { file }, options: { measured, atRest, writeEvery, workers }, progress }) {
    const { circuit } = await readCircuitFile(file);
    const request = { file, atRest, workers, ...(writeEvery !== undefined && { writeEvery: writeEvery * 1e9 }) };
    const { bench, signatures } = await simulated(() => runFaults(circuit, request, progress), file);
    const suspicion = new Suspicion(bench, signatures);
    const observations = measured.map((text): Observation => {
      const found = readObservation(bench.board, text);
      if ("problem" in found) throw new BadInput(`--measured ${found.problem}`);
      return found;
    });
    const weights = suspicion.weigh(observations);
    const suspects = suspicion.ranked(weights);
    const next = suspicion.next(weights, new Set(observations.map(({ pin }) => pin)));
    const usual = next && suspicion.usualAt(next.pin.id)[0];
    const lines = [
      `${bench.faults.length} single faults simulated, ${suspects.length} of them or groups of them tell apart by measuring. ${
        bench.scenario.writes ? writing(bench.scenario.writes.every * bench.scenario.edgeFs) : "The processor rests."
      }`,
      ...observations.map((one) => {
        const pin = bench.board.pins[one.pin];
        const right = readingText(suspicion.usualAt(one.pin)[0]);
        return `${pin ? pinLabel(pin) : ""}: ${observationText(one)}; right would be ${right}`;
      }),
      ...(observations.length > 0
        ? ["", "Suspects, the likeliest first:", ...suspects.slice(0, LISTED).flatMap(suspectLines)]
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
        suspects: suspects.slice(0, 20).map(({ share, faults }) => ({
          share,
          faults: faults.map(({ id, kind, text }) => ({ id, kind, text })),
        })),
        ...(next && { next: { pin: pinLabel(next.pin), bits: next.bits } }),
      },
    };
  },
});

/** What cannot be simulated is the circuit file's fault. */
async function simulated<T>(work: () => Promise<T>, file: string): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput(`${file}: ${error.message}`);
    throw error;
  }
}

function writing(everyFs: number): string {
  return `The processor writes the test card over and over, a byte every ${(everyFs / 1e9).toFixed(1)} µs.`;
}

function suspectLines({ faults, share }: Suspect): string[] {
  const more = faults.length - FAULTS_LISTED;
  const [first, ...others] = faults.slice(0, FAULTS_LISTED).map(({ text }) => text);
  return [
    `${`${Math.round(100 * share)}`.padStart(4)} %  ${first}`,
    ...others.map((text) => `        ${text}`),
    ...(more > 0 ? [`        and ${more} more that measure the same`] : []),
  ];
}
