import { CarefulMemory } from "./careful-memory.js";
import { CauseGraph } from "./causes.js";
import { settleStore } from "./settle-store.js";
import { type OutsideChange, compileStep, movesOf } from "./step-code.js";
import { StepPlan } from "./step-plan.js";
import type { DoubtKind } from "./step-view.js";
import type { Store } from "./store.js";
import { stepThoroughly } from "./thorough-step.js";
import { ModuleWriter } from "./wasm-writer.js";
import { type WasmFunction, functionOf, instantiate } from "./web-assembly.js";

/** A place where the outcome hung on delays, and how often. */
export interface FoundDoubt {
  readonly kind: DoubtKind;
  /** The storage bit, memory or net. */
  readonly place: string;
  /** Nets between whose changes the order is open. */
  readonly nets: readonly string[];
  /** Femtoseconds. */
  readonly firstAt: number;
  readonly count: number;
}

/** More steps had to be worked out thoroughly than a machine was allowed: thousands of times as slow as others. */
export class TooMuchOpen extends Error {
  /** What hung on delays so far; none where each of them came out the same in every order. */
  readonly doubts: readonly FoundDoubt[];

  constructor(doubts: readonly FoundDoubt[]) {
    super("too much hangs on the order in which nets change");
    this.doubts = doubts;
  }
}

interface StepFunctions {
  readonly plan: StepPlan;
  readonly plain: WasmFunction;
  readonly careful: WasmFunction;
}

/** Thorough steps that are one among more than so many, as where each byte is written before its data stand, are borne with. */
const RARE = 32;

/** How many steps pass until it is looked again whether all is known: the look takes about as long as some steps. */
const STEPS_BETWEEN_CHECKS = 64;

/**
 * Takes single steps: plainly while all is known; where something may be in doubt thoroughly, and from then on with unknown
 * levels until all are known again.
 */
export class Stepper {
  /** Steps so far; how many of them with unknown levels, and how many thoroughly. */
  steps = 0;
  carefulSteps = 0;
  thoroughSteps = 0;
  readonly causes: CauseGraph;
  private readonly store: Store;
  private readonly mostThorough: number;
  private readonly memory: CarefulMemory;
  private readonly functions = new Map<string | number, StepFunctions>();
  private readonly plans = new Map<string | number, StepPlan>();
  private readonly found = new Map<string, FoundDoubt>();
  private allKnown: boolean;
  private untilCheck = 0;

  /** `mostThorough`: thorough steps after which `TooMuchOpen` is thrown, unless they are rare among all. */
  constructor(store: Store, mostThorough: number) {
    this.store = store;
    this.mostThorough = mostThorough;
    this.causes = new CauseGraph(store.structure);
    this.memory = new CarefulMemory(store);
    this.allKnown = false;
  }

  /** Whether everything is known that is not nobody's. */
  get isPlain(): boolean {
    return this.allKnown;
  }

  get doubts(): readonly FoundDoubt[] {
    return [...this.found.values()];
  }

  forgetDoubts(): void {
    this.found.clear();
  }

  /** Takes up where levels were put back from without, with the doubts of that time. */
  restore(doubts: readonly FoundDoubt[]): void {
    this.found.clear();
    for (const doubt of doubts) this.found.set(`${doubt.kind} ${doubt.place}`, doubt);
    this.look();
  }

  /** To be called when levels were changed from without. */
  look(): void {
    this.allKnown = this.store.isAllKnown();
    this.untilCheck = STEPS_BETWEEN_CHECKS;
  }

  /** To be called before a step in which something unknown comes from outside. */
  followUnknown(): void {
    this.allKnown = false;
    this.untilCheck = STEPS_BETWEEN_CHECKS;
  }

  step(changes: readonly OutsideChange[], now: number): void {
    const { plan, plain, careful } = this.functionsFor(changes);
    this.steps++;
    if (this.allKnown) {
      if (plain() === 0) return;
      this.allKnown = false;
      this.untilCheck = 0;
      this.stepThoroughly(plan, changes, now);
    } else {
      this.carefulSteps++;
      this.memory.mark();
      if (careful() !== 0) {
        this.memory.takeBack();
        this.stepThoroughly(plan, changes, now);
      }
    }
    if (--this.untilCheck <= 0) this.look();
  }

  /** To be called when memories were changed from without. */
  settle(): void {
    this.memory.mark();
    settleStore(this.store, this.memory);
    this.look();
  }

  planFor(changes: readonly OutsideChange[]): StepPlan {
    const key = keyOf(changes);
    const known = this.plans.get(key);
    const plan = known ?? new StepPlan(this.causes, movesOf(this.store.structure, changes));
    this.plans.set(key, plan);
    return plan;
  }

  private stepThoroughly(plan: StepPlan, changes: readonly OutsideChange[], now: number): void {
    this.thoroughSteps++;
    const isOften = this.thoroughSteps * RARE > this.steps;
    if (this.thoroughSteps > this.mostThorough && isOften) throw new TooMuchOpen(this.doubts);
    const { doubts, begins } = stepThoroughly(plan, changes, this.store, this.memory);
    for (const { kind, place, nets } of doubts) {
      const key = `${kind} ${place}`;
      const known = this.found.get(key);
      this.found.set(key, known ? { ...known, count: known.count + 1 } : { kind, place, nets, firstAt: now, count: 1 });
    }
    const { structure, writeCounts } = this.store;
    begins.forEach((bits, memory) => {
      bits.forEach((begins, index) => {
        const port = structure.memories[memory]?.ports[index] ?? 0;
        writeCounts[port] = (writeCounts[port] ?? 0) + begins;
      });
    });
  }

  private functionsFor(changes: readonly OutsideChange[]): StepFunctions {
    const key = keyOf(changes);
    const known = this.functions.get(key);
    if (known) return known;
    const { layout, vagueness, memory } = this.store;
    const writer = new ModuleWriter();
    const read = writer.import("read", 3);
    const write = writer.import("write", 7);
    const plan = this.planFor(changes);
    writer.add(compileStep(plan, layout, changes, { kind: "plain", vagueness }), "plain");
    writer.add(compileStep(plan, layout, changes, { kind: "careful", read, write }), "careful");
    const host = { memory, read: this.memory.read.bind(this.memory), write: this.memory.write.bind(this.memory) };
    const exported = instantiate(writer.toBytes(), { host });
    const made = { plan, plain: functionOf(exported, "plain"), careful: functionOf(exported, "careful") };
    this.functions.set(key, made);
    return made;
  }
}

/** One change by itself has a number, so that looking it up takes next to no time. */
function keyOf(changes: readonly OutsideChange[]): string | number {
  const [only] = changes;
  if (changes.length === 1 && only) return "source" in only ? 2 * only.source + only.edge : -1;
  return changes.map((change) => ("source" in change ? `${change.source} ${change.edge}` : "inputs")).join(", ");
}
