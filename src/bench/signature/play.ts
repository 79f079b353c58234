import type { LaneMachine } from "../lanes/lane-machine.js";
import type { NodeId } from "../board/board.js";
import type { Scenario } from "./scenario.js";

/** Lets a scenario act on machines of lanes: power-up, the reset, and the processor's writes. */
export class Play {
  private readonly machine: LaneMachine;
  private readonly scenario: Scenario;
  private written = 0;
  /** Edges until the next thing that the processor does, and which one that is. */
  private untilNext = 0;
  private phase: 0 | 1 | 2 = 0;
  private readonly levels = new Map<NodeId, 0 | 1>();

  constructor(machine: LaneMachine, scenario: Scenario) {
    this.machine = machine;
    this.scenario = scenario;
    for (const [node, level] of scenario.first) this.drive(node, level);
    machine.settle();
    machine.run(scenario.resetEdges);
    for (const [node, level] of scenario.released) this.drive(node, level);
    machine.settle();
  }

  /** Bytes that the processor has written. */
  get writes(): number {
    return this.written;
  }

  /** Goes on for so many edges of the oscillator. */
  run(edges: number): void {
    const { machine } = this;
    const { writes } = this.scenario;
    if (!writes) return machine.run(edges);
    for (let left = edges; left > 0;) {
      if (this.untilNext === 0) this.act();
      const now = Math.min(left, this.untilNext);
      machine.run(now);
      this.untilNext -= now;
      left -= now;
    }
  }

  /** Address and data, then the strobe, then its end. */
  private act(): void {
    const { writes } = this.scenario;
    if (!writes) return;
    const { every, strobes, address, data, others, bytes, stride } = writes;
    const quarter = every >> 2;
    if (this.phase === 0) {
      const at = (this.written * stride) % bytes.length;
      address.forEach((node, bit) => this.drive(node, ((at >> bit) & 1) as 0 | 1));
      data.forEach((node, bit) => this.drive(node, (((bytes[at] ?? 0) >> bit) & 1) as 0 | 1));
      others.forEach((node, bit) => this.drive(node, ((this.written >> (bit % 16)) & 1) as 0 | 1));
      this.untilNext = quarter;
      this.phase = 1;
    } else if (this.phase === 1) {
      for (const { node, rest } of strobes) this.drive(node, rest === 1 ? 0 : 1);
      this.untilNext = quarter;
      this.phase = 2;
    } else {
      for (const { node, rest } of strobes) this.drive(node, rest);
      this.written++;
      this.untilNext = every - 2 * quarter;
      this.phase = 0;
    }
    this.machine.settle();
  }

  private drive(node: NodeId, level: 0 | 1): void {
    if (this.levels.get(node) === level) return;
    this.levels.set(node, level);
    this.machine.drive(node, level);
  }
}
