import type { Circuit } from "../circuit/index.js";
import { encodePng } from "../raster/index.js";
import {
  type DelayChoice,
  type FrameResult,
  type Simulator,
  ChangeDump,
  NoProgress,
  WrongState,
  mostFramesWithDelays,
  powerUpBoard,
  simulateFrame,
} from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { runBoards } from "./boards-run.js";
import { readCircuitFile } from "./circuit-file.js";
import { type Answer, defineCommand } from "./command.js";
import { type DumpRequest, readDumpRequest } from "./dump-request.js";
import { Film } from "./film.js";
import { writeInPieces, writeWhole } from "./files.js";
import { readMonitorRange } from "./monitor-range.js";
import type { Report } from "../judging/index.js";
import { frameData } from "./simulate-data.js";
import { pictureLine, pictureOn } from "./shown-picture.js";
import { readScriptFile } from "./script-file.js";
import { type Saved, readSnapshot, refuseSnapshot, saveSnapshot } from "./snapshot-file.js";
import { readMemories } from "./read-memories.js";
import { runWitness } from "./witness-run.js";
import { describeFrame, isInOrder } from "./simulate-text.js";
import { refuseTimes, runWithoutDelays } from "./without-delays-run.js";

const choices = ["typical", "earliest", "latest", "random", "ends", "none"] as const;

export const simulateCommand = defineCommand({
  name: "simulate",
  summary: "Run the circuit in time and show what the monitor shows",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    picture: { kind: "text", value: "file", summary: "write the last frame as a PNG, one dot a dot of the raster" },
    pictures: { kind: "text", value: "folder", summary: "write every frame as a PNG of its own" },
    animation: { kind: "text", value: "file", summary: "write all frames as one animated PNG, at their own speed" },
    monitor: {
      kind: "text",
      value: "rates",
      summary: "what your monitor follows, as in '30-83 kHz, 50-76 Hz'; any rates by default",
    },
    memory: {
      kind: "list",
      value: "file",
      summary: "fill every memory with these bytes, or one of them as in U5=sync.hex; a test card by default",
    },
    delays: {
      kind: "choice",
      choices,
      default: "typical",
      summary:
        "all delays typical, earliest or latest; each at random within its limits, or at one of their ends; " +
        "none: many times as fast, the logic's picture alone, races named",
    },
    seed: {
      kind: "number",
      value: "n",
      default: 1,
      least: 0,
      greatest: 2 ** 32 - 1,
      whole: true,
      summary: "of all luck",
    },
    frames: {
      kind: "number",
      value: "n",
      default: 2,
      least: 1,
      greatest: 36_000,
      whole: true,
      summary: "frames to run",
    },
    script: { kind: "text", value: "file", summary: "what a processor does at the inputs; see docs/scripts.md" },
    keep: { kind: "text", value: "file", summary: "write what the memory holds at the end; --memory goes on from it" },
    save: { kind: "text", value: "file", summary: "write all that the board holds at the end" },
    resume: { kind: "text", value: "file", summary: "go on from there in place of powering up" },
    busy: { kind: "flag", summary: "let inputs change at random inside their declared times; else they rest" },
    witness: { kind: "text", value: "verdict", summary: "run the board on which a verdict of prove is at its worst" },
    boards: {
      kind: "number",
      value: "n",
      least: 1,
      greatest: 100_000,
      whole: true,
      summary: "run so many boards, each with delays of its own, and say how many fail and in what",
    },
    workers: {
      kind: "number",
      value: "n",
      least: 1,
      greatest: 256,
      whole: true,
      summary: "threads for --boards; as many as there are cores by default",
    },
    watch: { kind: "flag", summary: "watch set-up, hold, widths and writes at every chip" },
    vcd: { kind: "text", value: "file", summary: "write a value change dump (IEEE 1364)" },
    nets: { kind: "list", value: "names", summary: "nets or buses to dump; every net by default" },
    from: { kind: "text", value: "time", default: "0 ns", summary: "where the dump begins, such as 1.5 ms" },
    to: { kind: "text", value: "time", summary: "where it ends; 100 us later by default" },
  },
  examples: [
    "npx dotwright simulate examples/tide-board.circuit.yaml --picture out/frame.png",
    "npx dotwright simulate examples/tide-board.circuit.yaml --frames 10 --busy --animation out/tide.png",
    "npx dotwright simulate examples/tide-board.circuit.yaml --delays random --seed 7 --busy --watch",
    "npx dotwright simulate examples/tide-board.circuit.yaml --script examples/tide-board.script.yaml --picture out/tide.png",
    "npx dotwright simulate examples/tide-board.circuit.yaml --boards 20 --frames 1",
    "npx dotwright simulate examples/tide-board.circuit.yaml --delays none --frames 600 --script examples/tide-board.script.yaml",
    'npx dotwright simulate examples/tide-board-wide.circuit.yaml --witness "set-up U1 2D"',
    "npx dotwright simulate examples/tide-board.circuit.yaml --vcd out/line.vcd --nets HSYNC,MA,WE# --from 1ms --to 1.1ms",
  ],
  async run({ arguments: { file }, options, progress }) {
    const { circuit, warnings } = await readCircuitFile(file);
    const { vcd } = options;
    refuseSnapshot(options);
    if (options.delays === "none") refuseTimes(options);
    else refuseTooLong(circuit, options.frames);
    if (options.boards !== undefined) {
      const { boards, seed, frames, workers } = options;
      return runBoards(circuit, { file, boards, seed, frames, workers }, progress);
    }
    if (options.witness !== undefined) return runWitness(circuit, options.witness, vcd, progress);
    const dump = vcd === undefined ? undefined : readDumpRequest(circuit, options);
    const board = {
      delays: chosenDelays(options.delays, options.seed),
      seed: options.seed,
      busy: options.busy,
      watch: options.watch,
      ...(options.script !== undefined && { script: await readScriptFile(options.script, circuit) }),
    };
    if (options.script !== undefined && options.busy) {
      throw new BadInput("--script and --busy both move the inputs; give one of them");
    }
    const wantsFilm = options.pictures !== undefined || options.animation !== undefined;
    if (!circuit.picture && (!dump || options.picture !== undefined || wantsFilm)) {
      throw new BadInput(`${file}: names no picture, so there is none to show; --vcd records nets all the same`);
    }
    const film = wantsFilm ? new Film(options) : undefined;
    const range = options.monitor === undefined ? undefined : readMonitorRange(options.monitor);
    const memory = options.memory.length === 0 ? undefined : await readMemories(circuit, options.memory);

    const snapshotOf = { circuit, delays: options.delays, seed: options.seed };
    const resumed = options.resume === undefined ? undefined : await readSnapshot(options.resume, snapshotOf);

    if (options.delays === "none") {
      const { seed, frames, busy, picture, keep, save } = options;
      const given = {
        ...(memory && { memory }),
        ...(resumed?.kind === "without delays" && { resume: resumed.state }),
        ...(board.script && { script: board.script }),
        ...(range && { range }),
      };
      const run = { file, asked: { seed, frames, busy }, board: given, film, picture, keep, save, warnings };
      return runWithoutDelays(circuit, run, progress);
    }

    let simulator: Simulator | undefined;
    /** Runs, with what the dump still wants after the frames. `write` takes the dump's text. */
    const run = (write: ((text: string) => void) | undefined, tell: Report): FrameResult | undefined => {
      const running = dump && new RunningDump(dump, `${circuit.title}, ${options.delays} delays`, write);
      if (!circuit.picture) {
        const resume = resumed?.kind === "with delays" ? { resume: resumed.state } : {};
        ({ simulator } = powerUpBoard(circuit, { ...board, ...resume }));
        running?.begin(simulator);
        running?.finish(tell);
        return undefined;
      }
      const seen = simulateFrame(circuit, {
        ...board,
        frames: options.frames,
        ...(memory && { memory }),
        ...(range && { range }),
        ...(resumed?.kind === "with delays" && { resume: resumed.state }),
        ...(film && { onFrame: (shown, frame) => film.add(shown, frame) }),
        prepare(powered) {
          simulator = powered;
          running?.begin(powered);
        },
        onProgress(stage, done, total) {
          running?.drain();
          tell(stage === "find layout" ? done / 2 : total / 2 + done / 2, total);
        },
      });
      running?.finish(tell);
      return seen;
    };
    const seen = await asBadInput(file, () =>
      progress.during("simulating", (tell) =>
        vcd === undefined ? run(undefined, tell) : writeInPieces(vcd, (write) => run(write, tell)),
      ),
    );

    const shown = seen && pictureOn(seen.monitor);
    if (options.picture !== undefined && shown) await writeWhole(options.picture, encodePng(shown));
    const kept = seen?.memories[0]?.contents;
    if (options.keep !== undefined && kept) await writeWhole(options.keep, kept);
    const state = seen?.script && seen.script.ended === undefined ? undefined : simulator?.save();
    const snapshot = state && { kind: "with delays" as const, state };
    const saved = options.save === undefined ? undefined : await saveSnapshot(options.save, snapshotOf, snapshot);
    return answer(circuit, seen, {
      picture: shown && options.picture,
      film: await film?.write(),
      saved,
      vcd,
      warnings,
      asked: { delays: options.delays, seed: options.seed, frames: options.frames, busy: options.busy },
    });
  },
});

function chosenDelays(choice: (typeof choices)[number], seed: number): DelayChoice {
  if (choice === "none") return "typical";
  if (choice === "random") return { seed, spread: "even" };
  return choice === "ends" ? { seed, spread: "ends" } : choice;
}

/** @throws BadInput where a timed run would be longer than its times can be counted */
function refuseTooLong(circuit: Circuit, frames: number): void {
  const most = mostFramesWithDelays(circuit);
  if (frames <= most) return;
  throw new BadInput(`--frames ${frames}: with delays at most ${most} frames; --delays none goes on for longer`);
}

async function asBadInput<T>(file: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof NoProgress || error instanceof WrongState) throw new BadInput(`${file}: ${error.message}`);
    throw error;
  }
}

/** A dump on its way into a file. */
class RunningDump {
  private readonly request: DumpRequest;
  private readonly comment: string;
  private readonly write: (text: string) => void;
  private simulator: Simulator | undefined;
  private dump: ChangeDump | undefined;

  constructor(request: DumpRequest, comment: string, write: ((text: string) => void) | undefined) {
    this.request = request;
    this.comment = comment;
    this.write = write ?? (() => undefined);
  }

  begin(simulator: Simulator): void {
    this.simulator = simulator;
    this.dump = new ChangeDump(simulator, { ...this.request, comment: this.comment });
  }

  drain(): void {
    const text = this.dump?.read();
    if (text) this.write(text);
  }

  /** Runs on to the end of the span, and ends the dump. */
  finish(tell: Report): void {
    const { simulator, request } = this;
    if (!simulator) return;
    const from = simulator.now;
    const step = 1e12;
    while (simulator.now < request.to) {
      simulator.run(Math.min(simulator.now + step, request.to) as typeof request.to);
      this.drain();
      tell(simulator.now - from, request.to - from);
    }
    this.dump?.end();
    this.drain();
  }
}

interface Written {
  readonly picture: string | undefined;
  readonly film: Awaited<ReturnType<Film["write"]>> | undefined;
  readonly saved: Saved | undefined;
  readonly vcd: string | undefined;
  readonly warnings: readonly unknown[];
  readonly asked: object;
}

function answer(circuit: Circuit, seen: FrameResult | undefined, written: Written): Answer {
  const { picture, film, saved, vcd, warnings, asked } = written;
  const files = [
    ...(picture === undefined || !seen ? [] : [pictureLine(seen.monitor, picture)]),
    ...(film?.text ?? []),
    ...(saved ? [saved.text] : []),
    ...(vcd === undefined ? [] : [`The value change dump: ${vcd}`]),
  ];
  const json = {
    title: circuit.title,
    ...asked,
    ...(seen && frameData(circuit, seen)),
    ...(picture !== undefined && { picturePath: picture }),
    ...film?.data,
    ...saved?.data,
    ...(vcd !== undefined && { vcdPath: vcd }),
    warnings,
  };
  const lines = seen ? describeFrame(circuit, seen) : ["The circuit names no picture; only its nets were recorded."];
  return {
    exitCode: (!seen || isInOrder(seen)) && saved?.isWritten !== false ? 0 : 1,
    text: [...lines, ...files].join("\n"),
    json,
  };
}
