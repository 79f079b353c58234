import { type Edit, type Variant, variantKey, variantOf } from "../board/variant.js";
import type { FaultBench } from "./catalogue.js";
import { ReadingTable } from "./reading.js";
import { FAULTS_IN_GROUP, type GroupOptions, type Signature, simulateGroup } from "./simulate-group.js";

/** How boards are simulated: at first as most of them allow, and those that remain in another way. */
export type Stage = Pick<GroupOptions, "memory" | "length">;

/** Boards by number, and how they are simulated next. */
export interface StagedBoards {
  readonly stage: Stage;
  readonly boards: readonly number[];
}

/** What comes of some boards: signatures by number, and what is left to be simulated in another way. */
export interface StageResult {
  readonly found: ReadonlyMap<number, Signature>;
  readonly left: readonly StagedBoards[];
}

/** Edits that make the same board are simulated once. */
export class EditPlan {
  private readonly variants: readonly Variant[];
  /** Of each edit, the first one that makes the same board. */
  private readonly firstOf: readonly number[];

  constructor({ board }: Pick<FaultBench, "board">, edits: readonly Edit[]) {
    this.variants = edits.map((edit) => variantOf(board, edit));
    const known = new Map<string, number>();
    this.firstOf = this.variants.map((variant, index) => {
      const key = variantKey(variant);
      const first = known.get(key) ?? index;
      known.set(key, first);
      return first;
    });
  }

  /** Boards that are to be simulated, by the numbers of their edits. */
  get boards(): readonly number[] {
    return this.firstOf.filter((first, index) => first === index && this.variants[index]?.isShorted === false);
  }

  variant(board: number): Variant | undefined {
    return this.variants[board];
  }

  /** Signatures of all edits, given those of the boards. */
  all(found: ReadonlyMap<number, Signature>): readonly Signature[] {
    return this.firstOf.map((first) => found.get(first) ?? SHORTED);
  }
}

/** Simulates boards of one stage, a group at a time. */
export function simulateStage(
  { board, scenario, slowNodes }: FaultBench,
  plan: EditPlan,
  { stage, boards }: StagedBoards,
): StageResult {
  const found = new Map<number, Signature>();
  const [astray, unsettled]: [number[], number[]] = [[], []];
  for (let from = 0; from < boards.length; from += FAULTS_IN_GROUP) {
    const own = boards.slice(from, from + FAULTS_IN_GROUP);
    const variants = own.flatMap((one) => plan.variant(one) ?? []);
    const result = simulateGroup(board, scenario, variants, { ...stage, slowNodes });
    result.faulty.forEach((signature, place) => {
      const number = own[place];
      if (number !== undefined && signature) found.set(number, signature);
    });
    astray.push(...result.astray.flatMap((place) => own[place] ?? []));
    unsettled.push(...result.unsettled.flatMap((place) => own[place] ?? []));
  }
  return {
    found,
    left: [
      { stage: { memory: "random" as const, length: "one frame" as const }, boards: astray },
      { stage: { ...stage, length: "two frames" as const }, boards: unsettled },
    ].filter((one) => one.boards.length > 0),
  };
}

/**
 * Takes boards through their stages: `simulate` does one stage, by groups as large as they come or in parts, and what parts
 * leave is put together, so that groups are full.
 */
export class Stages {
  private readonly queue: StagedBoards[];
  readonly found = new Map<number, Signature>();

  constructor(plan: EditPlan) {
    this.queue = [{ stage: { memory: "card", length: "one frame" }, boards: plan.boards }];
  }

  /** What to simulate next; undefined when all is done. */
  next(): StagedBoards | undefined {
    // Boards with the card may yet turn out to write astray.
    const at = Math.max(
      0,
      this.queue.findIndex(({ stage }) => stage.memory === "card"),
    );
    return this.queue.splice(at, 1)[0];
  }

  take({ found, left }: StageResult): void {
    for (const [board, signature] of found) this.found.set(board, signature);
    for (const { stage, boards } of left) {
      const at = this.queue.findIndex((one) => one.stage.memory === stage.memory && one.stage.length === stage.length);
      const waiting = this.queue[at];
      if (waiting) this.queue[at] = { stage, boards: [...waiting.boards, ...boards] };
      else this.queue.push({ stage, boards });
    }
  }
}

/** Signatures of boards with faults, by position. */
export function simulateEdits(
  bench: FaultBench,
  edits: readonly Edit[],
  tell?: (done: number, total: number) => void,
): readonly Signature[] {
  const plan = new EditPlan(bench, edits);
  const stages = new Stages(plan);
  for (let now = stages.next(); now; now = stages.next()) {
    for (let from = 0; from < now.boards.length; from += FAULTS_IN_GROUP) {
      stages.take(simulateStage(bench, plan, { ...now, boards: now.boards.slice(from, from + FAULTS_IN_GROUP) }));
      tell?.(stages.found.size, plan.boards.length);
    }
  }
  return plan.all(stages.found);
}

/** The supply is shorted: nothing moves. */
const SHORTED: Signature = { isShorted: true, readings: new ReadingTable(new Float32Array(0)), wanders: false };
