import type { KnownBench } from "../../bench/index.js";
import type { DeskFile } from "../protocol.js";
import { keptPieces } from "./kept-pieces.js";
import type { FaultsAsk, FaultsTold, Piece } from "./protocol.js";
import { startBenchWorker } from "./start-worker.js";

/** Faults of a piece: a group of boards that run side by side. */
const FAULTS_IN_PIECE = 63;
/** Each holds some hundred megabytes while it simulates. */
const MOST_WORKERS = 4;

/** What the faults of which circuit are simulated of. */
export interface RunOf {
  readonly file: DeskFile;
  readonly key: string;
  readonly total: number;
  readonly known: KnownBench;
}

/** Simulates the faults of a circuit in workers, piece by piece; what an earlier run has left is not simulated again. */
export class FaultRuns {
  readonly #of: RunOf;
  readonly #take: (piece: Piece) => void;
  readonly #changed: () => void;
  readonly #there = new Set<number>();
  readonly #workers = new Map<Worker, number>();
  #waiting: number[] = [];
  /** Set while nothing more is begun. */
  problem: string | undefined;
  isReadingKept = true;

  /** `take` is handed every piece once, `changed` called whenever there is something new to show. */
  constructor(of: RunOf, take: (piece: Piece) => void, changed: () => void) {
    this.#of = of;
    this.#take = take;
    this.#changed = changed;
  }

  get isRunning(): boolean {
    return this.#workers.size > 0;
  }

  get isWhole(): boolean {
    return this.#there.size * FAULTS_IN_PIECE >= this.#of.total;
  }

  /** Faults that are simulated. */
  get done(): number {
    const { total } = this.#of;
    return [...this.#there].reduce((sum, from) => sum + Math.min(FAULTS_IN_PIECE, total - from), 0) + this.#underWay;
  }

  /** Takes what is kept. */
  async recall(): Promise<void> {
    for (const piece of await keptPieces.read(this.#of.key)) this.#arrive(piece);
    this.isReadingKept = false;
    this.#changed();
  }

  start(): void {
    const { total, file, known } = this.#of;
    this.problem = undefined;
    this.#waiting = [];
    for (let from = 0; from < total; from += FAULTS_IN_PIECE) if (!this.#there.has(from)) this.#waiting.push(from);
    const cores = navigator.hardwareConcurrency || 2;
    const count = Math.min(this.#waiting.length, MOST_WORKERS, cores > 2 ? cores - 1 : cores);
    for (let index = 0; index < count; index++) {
      const worker = startBenchWorker("faults");
      this.#workers.set(worker, 0);
      worker.addEventListener("message", ({ data }: MessageEvent<FaultsTold>) => {
        if (this.#workers.has(worker)) this.#hear(worker, data);
      });
      worker.addEventListener("error", ({ message }) => this.#fail(message));
      ask(worker, { kind: "begin", file, known });
      this.#next(worker);
    }
    this.#changed();
  }

  stop(): void {
    for (const worker of this.#workers.keys()) worker.terminate();
    this.#workers.clear();
    this.#changed();
  }

  get #underWay(): number {
    return [...this.#workers.values()].reduce((sum, done) => sum + done, 0);
  }

  #next(worker: Worker): void {
    const from = this.#waiting.shift();
    this.#workers.set(worker, 0);
    if (from !== undefined) {
      ask(worker, { kind: "simulate", from, to: from + FAULTS_IN_PIECE });
      return;
    }
    worker.terminate();
    this.#workers.delete(worker);
  }

  #hear(worker: Worker, told: FaultsTold): void {
    if (told.kind === "cannot") this.#fail(told.problem);
    else if (told.kind === "done") {
      this.#workers.set(worker, Math.floor(told.share * FAULTS_IN_PIECE));
      this.#changed();
    } else {
      const keep = keptPieces.write(this.#of.key, told.piece);
      this.#next(worker);
      void keep.then(() => this.#arrive(told.piece));
    }
  }

  #arrive(piece: Piece): void {
    if (this.#there.has(piece.from)) return;
    this.#there.add(piece.from);
    this.#take(piece);
    this.#changed();
  }

  #fail(problem: string): void {
    this.problem = problem;
    this.stop();
  }
}

function ask(worker: Worker, asked: FaultsAsk): void {
  worker.postMessage(asked);
}
