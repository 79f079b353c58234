import type { Fixed, Ticking } from "./autonomous.js";
import { Ordering } from "./ordering.js";
import type { Recording } from "./recording.js";
import type { InputPlace } from "./round-inputs.js";
import { type Rounds, makeRounds } from "./rounds.js";
import { settleFunction } from "./settle-code.js";
import { Plane } from "./signal-store.js";
import type { Stepper } from "./stepper.js";
import type { Store } from "./store.js";
import type { WasmFunction } from "./web-assembly.js";

/** Bytes that rounds may leave on record in one go. */
const RECORD_BYTES = 1 << 20;

/**
 * Takes many edges of the only oscillator at once, in rounds made for what the circuit's inputs are now. Between rounds the
 * storage bits that do not run on their own are kept in words of their own; `leave` brings the store up to date.
 */
export class RoundRunner {
  /** Oscillator edges taken so far. */
  taken = 0;
  private readonly store: Store;
  private readonly stepper: Stepper;
  private readonly ticking: Ticking;
  private readonly settle: WasmFunction | undefined;
  private rounds: Rounds | undefined;
  private recordAt = 0;
  private fixed: Fixed = new Map();
  private firstEdge = 0; // when round 0 of the orbit began or begins
  private inside: number | undefined; // the round that comes next, while the store is not up to date

  constructor(store: Store, stepper: Stepper, oscillator: number) {
    this.store = store;
    this.stepper = stepper;
    const { structure } = store;
    const plan = (edge: 0 | 1) => stepper.planFor([{ source: oscillator, edge }]);
    this.ticking = { structure, oscillator, rise: plan(0), fall: plan(1) };
    this.settle = settleFunction(store);
  }

  /** Edges of a round; undefined where there are none. */
  get edges(): number | undefined {
    return this.rounds?.edges;
  }

  /**
   * Makes rounds for the circuit as it is after so many edges, the oscillator being low and all levels known. False where
   * nothing is gained by them.
   */
  prepare(edge: number, recorded: readonly number[]): boolean {
    this.leave();
    this.rounds = undefined;
    if (!this.settle) return false;
    const { store, ticking } = this;
    const { structure } = store;
    const others: number[] = [];
    const fixed = new Map<number, 0 | 1>();
    structure.sources.forEach(({ signal, net, oscillator }, source) => {
      if (oscillator) return;
      if (net.input?.timing.kind === "power-up only") fixed.set(source, store.at(signal, Plane.value) === 1 ? 1 : 0);
      else others.push(2 * signal, 2 * signal + 1);
    });
    const touched = new Ordering(this.stepper.causes, others);
    let used = RECORD_BYTES;
    store.reserve(used);
    this.recordAt = store.layout.end;
    this.fixed = fixed;
    this.rounds = makeRounds({
      ticking,
      inputs: this.stepper.planFor([{ inputs: true }]),
      layout: store.layout,
      memory: store.memory,
      fixed,
      isTouched: (bit) => touched.canChange(bit),
      levelOf: (bit) => (store.at(bit, Plane.value) === 1 ? 1 : 0),
      recorded,
      allocate: (bytes) => {
        const at = store.layout.end + used;
        used += (bytes + 63) & ~63;
        store.reserve(used);
        return at;
      },
    });
    if (this.rounds) this.firstEdge = edge + this.rounds.ahead;
    return this.rounds !== undefined;
  }

  /** Has no rounds any more, until they are made anew. */
  forget(): void {
    this.leave();
    this.rounds = undefined;
  }

  /** Whether inputs are still as they were when the rounds were made. */
  get isValid(): boolean {
    if (!this.rounds) return false;
    for (const [source, level] of this.fixed) {
      if (this.store.at(this.store.structure.sources[source]?.signal ?? 0, Plane.value) !== level) return false;
    }
    return true;
  }

  /** Edges from this one until a round can begin: 0 at its begin. */
  untilRound(edge: number): number {
    const { edges = 1 } = this.rounds ?? {};
    if (edge <= this.firstEdge) return this.firstEdge - edge;
    return (edges - ((edge - this.firstEdge) % edges)) % edges;
  }

  /** Takes up to so many rounds from this edge on, at which a round begins. Gives how many were taken. */
  run(edge: number, count: number, recording?: Recording): number {
    const { rounds, store } = this;
    if (!rounds) return 0;
    const first = this.roundAt(edge);
    this.enter(first);
    const recordBytes = rounds.record.bits / 8;
    const most = Math.min(count, rounds.count - first, Math.floor(RECORD_BYTES / recordBytes));
    const run = recording ? rounds.runRecording : rounds.run;
    const done = run(rounds.rowAt(first), most, this.recordAt);
    if (recording && done > 0) {
      const bytes = store.bytes.slice(this.recordAt, this.recordAt + done * recordBytes);
      recording.addRounds(rounds.record, rounds.edges, edge, done, bytes);
    }
    this.inside = (first + done) % rounds.count;
    this.taken += done * rounds.edges;
    return done;
  }

  /** Where in a round inputs may be taken that change after so many of its edges. Only sources that are not taken as fixed. */
  placeOfInputs(edgesBefore: number, sources: readonly number[]): InputPlace {
    if (!this.rounds || sources.some((source) => this.fixed.has(source))) return "exact";
    return this.rounds.inputPlaces[edgesBefore] ?? "exact";
  }

  /** Makes ready for the round that begins at this edge. */
  enterAt(edge: number): void {
    this.enter(this.roundAt(edge));
  }

  /**
   * Whether it is all the same when these inputs take their next levels in the coming round: nothing looks at them, and they
   * change no storage.
   */
  haveNoEffect(sources: readonly number[]): boolean {
    const { rounds } = this;
    return rounds !== undefined && sources.every((s) => rounds.passingInputs.has(s)) && rounds.effectOfInputs() === 0;
  }

  /** Takes the inputs' next levels, between rounds, to the storage that they change; not where that leaves anything in doubt. */
  takeInputs(): boolean {
    const { rounds } = this;
    if (!rounds) return false;
    const effect = rounds.effectOfInputs();
    if (effect === 1) rounds.takeInputs();
    return effect < 2;
  }

  private roundAt(edge: number): number {
    const { edges = 1, count = 1 } = this.rounds ?? {};
    return Math.round((edge - this.firstEdge) / edges) % count;
  }

  private enter(round: number): void {
    const { rounds, store } = this;
    if (!rounds || this.inside === round) return;
    this.leave();
    store.copyToNext();
    const words = new Uint32Array(store.memory.buffer, rounds.stateAt, rounds.code.state.words).fill(0);
    for (const [signal, { word, index }] of rounds.code.state.places) {
      words[word] = (words[word] ?? 0) | (store.at(signal, Plane.value) << index);
    }
    this.inside = round;
  }

  /** Brings the store up to date; afterwards single steps can be taken. */
  leave(): void {
    const { rounds, store, inside } = this;
    if (!rounds || inside === undefined) return;
    this.inside = undefined;
    const words = new Uint32Array(store.memory.buffer, rounds.stateAt, rounds.code.state.words);
    for (const [signal, { word, index }] of rounds.code.state.places) {
      store.set(signal, Plane.value, ((words[word] ?? 0) >>> index) & 1);
    }
    // What runs on its own is as it was after the last edge before this round.
    const { orbit } = rounds;
    const edge = (inside === 0 ? rounds.count : inside) * rounds.edges - 1;
    orbit.bits.forEach((signal, index) => {
      const level = ((orbit.levels[edge * orbit.words + (index >> 5)] ?? 0) >>> (index & 31)) & 1;
      store.set(signal, Plane.value, level);
    });
    this.settle?.();
  }
}
