import type { Fixed, Ticking } from "./autonomous.js";
import { Ordering } from "./ordering.js";
import type { Recording } from "./recording.js";
import type { InputPlace } from "./round-inputs.js";
import { type Rounds, makeRounds } from "./rounds.js";
import { settleFunction } from "./settle-code.js";
import { Plane } from "./signal-store.js";
import type { Stepper } from "./stepper.js";
import type { Store } from "./store.js";
import type { Signal } from "./structure.js";
import type { WasmFunction } from "./web-assembly.js";

/** So often what runs on its own is looked for on its orbit, a period apart. */
const MOST_PERIODS_LOST = 64;
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
  private periodsLost = 0; // how often it was looked for in vain, and one
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
      store,
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
    this.periodsLost = 0;
    if (this.rounds) this.firstEdge = edge + this.rounds.ahead;
    return this.rounds !== undefined;
  }

  /** Levels were put back from without: what runs on its own may be anywhere on its orbit, or elsewhere. */
  lose(): void {
    this.inside = undefined;
    this.periodsLost = 1;
  }

  /**
   * Looks whether what runs on its own is on the orbit, the oscillator being low after so many edges; then rounds can be taken
   * again.
   */
  find(edge: number): boolean {
    const { rounds, store } = this;
    if (!rounds || this.periodsLost === 0 || !this.areInputsAsFixed()) return false;
    const { bits, words, levels } = rounds.orbit;
    const wanted = new Uint32Array(words);
    bits.forEach((bit, index) => {
      wanted[index >> 5] = (wanted[index >> 5] ?? 0) | (store.at(bit, Plane.value) << (index & 31));
    });
    for (let fall = 1; fall * words < levels.length; fall += 2) {
      let word = 0;
      while (word < words && levels[fall * words + word] === wanted[word]) word++;
      if (word < words) continue;
      this.periodsLost = 0;
      this.firstEdge = edge - (fall + 1);
      return true;
    }
    // It may still come onto its orbit.
    if (++this.periodsLost > MOST_PERIODS_LOST) this.rounds = undefined;
    return false;
  }

  /** Whether inputs are still as they were when the rounds were made. */
  get isValid(): boolean {
    return this.rounds !== undefined && this.periodsLost === 0 && this.areInputsAsFixed();
  }

  private areInputsAsFixed(): boolean {
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
    const recordBytes = rounds.record.bits >> 3;
    const most = Math.min(count, rounds.count - first, Math.floor(RECORD_BYTES / recordBytes));
    const run = recording ? rounds.runRecording : rounds.run;
    const done = run(rounds.rowAt(first), most, this.recordAt);
    if (recording && done > 0) {
      recording.addRounds(rounds.record, rounds.edges, edge, done, store.bytes, this.recordAt);
    }
    this.inside = (first + done) % rounds.count;
    this.taken += done * rounds.edges;
    return done;
  }

  /** Rounds from this edge on in which a net does not change; 0 where that is not known beforehand. */
  roundsUntilChange(net: Signal, edge: number): number {
    const { rounds } = this;
    const changes = rounds?.changesOf(net);
    if (!rounds || !changes) return 0;
    const round = this.roundAt(edge);
    const next = changes.find((one) => one >= round) ?? (changes[0] ?? Infinity) + rounds.count;
    return next - round;
  }

  /** Where in a round inputs may be taken that change after so many of its edges; if none of them is taken as fixed. */
  placeOfInputs(edgesBefore: number): InputPlace {
    return this.rounds?.inputPlaces[edgesBefore] ?? "exact";
  }

  isFixed(source: number): boolean {
    return this.fixed.has(source);
  }

  /** Whether a source's level matters only by what it changes at once. */
  isPassing(source: number): boolean {
    return this.rounds?.passingInputs.has(source) ?? false;
  }

  /** Makes ready for the round that begins at this edge. */
  enterAt(edge: number): void {
    this.enter(this.roundAt(edge));
  }

  /** What the inputs' next levels do, taken between rounds: 0 nothing to storage, 1 something, 2 leave something in doubt. */
  effectOfInputs(): number {
    return this.rounds?.effectOfInputs() ?? 2;
  }

  /** Takes them to the storage that they change. */
  takeInputs(): void {
    this.rounds?.takeInputs();
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
    rounds.enter();
    this.inside = round;
  }

  /** Brings the store up to date; afterwards single steps can be taken. */
  leave(): void {
    const { rounds, inside } = this;
    if (!rounds || inside === undefined) return;
    this.inside = undefined;
    rounds.leave(rounds.startAt(inside));
    this.settle?.();
  }
}
