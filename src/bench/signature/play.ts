import type { NodeId } from "../board/board.js";
import type { LaneMachine } from "../lanes/lane-machine.js";
import type { Scenario, Writes } from "./scenario.js";

/** Lets a scenario act on machines of lanes: power-up, the reset, and the processor's writes. */
export class Play {
  private readonly machine: LaneMachine;
  private readonly scenario: Scenario;
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

  /** Lets the boards find their way for so many edges at least, and then does what comes last in every frame. */
  runUp(edges: number): void {
    const { machine } = this;
    const { frameEdges, writes } = this.scenario;
    if (!writes) return machine.run(edges);
    this.write(writes, -Math.ceil(edges / writes.every));
    machine.run(frameEdges % writes.every);
  }

  /** One frame: the same writes at the same moments in each, so that a board that has settled does the same in each. */
  frame(): void {
    const { machine } = this;
    const { frameEdges, writes } = this.scenario;
    if (!writes) return machine.run(frameEdges);
    this.write(writes, writesInFrame(this.scenario));
    machine.run(frameEdges % writes.every);
  }

  /** So many writes from the frame's first one on; those before it when negative. */
  private write(writes: Writes, count: number): void {
    const whole = writesInFrame(this.scenario);
    const [from, to] = count < 0 ? [whole + count, whole] : [0, count];
    for (let number = from; number < to; number++) this.writeOne(writes, number);
  }

  /** Address and data, then the strobe, then its end. */
  private writeOne({ every, strobes, address, data, others, bytes, stride }: Writes, number: number): void {
    const { machine } = this;
    const quarter = every >> 2;
    const places = bytes.length;
    const at = (((number * stride) % places) + places) % places;
    address.forEach((node, bit) => this.drive(node, ((at >> bit) & 1) as 0 | 1));
    data.forEach((node, bit) => this.drive(node, (((bytes[at] ?? 0) >> bit) & 1) as 0 | 1));
    others.forEach((node, bit) => this.drive(node, ((number >> (bit % 16)) & 1) as 0 | 1));
    machine.settle();
    machine.run(quarter);
    for (const { node, rest } of strobes) this.drive(node, rest === 1 ? 0 : 1);
    machine.settle();
    machine.run(quarter);
    for (const { node, rest } of strobes) this.drive(node, rest);
    machine.settle();
    machine.run(every - 2 * quarter);
  }

  private drive(node: NodeId, level: 0 | 1): void {
    if (this.levels.get(node) === level) return;
    this.levels.set(node, level);
    this.machine.drive(node, level);
  }
}

function writesInFrame({ frameEdges, writes }: Scenario): number {
  return writes ? Math.floor(frameEdges / writes.every) : 0;
}
