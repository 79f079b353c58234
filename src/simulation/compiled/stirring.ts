import { namesOf } from "./level.js";
import type { Expression } from "../../parts/index.js";
import { type Bit, FALSE, TRUE } from "./bit-graph.js";
import { driversBut } from "./net-level.js";
import type { StepView } from "./step-view.js";
import type { Driver, Signal } from "./structure.js";

/**
 * Whether a signal may move at all between one rest and the next, be it there and back. Its last level does not tell: an
 * exclusive OR of two signals that both change ends where it began and may pulse meanwhile. Never too little; a gate that is
 * held shut by a steady input does not stir.
 */
export class Stirring {
  private readonly step: StepView;
  private readonly known = new Map<Signal, Bit>();

  constructor(step: StepView) {
    this.step = step;
  }

  of(signal: Signal): Bit {
    const { structure, ordering } = this.step;
    if (!ordering.canChange(signal)) return FALSE;
    const known = this.known.get(signal);
    if (known !== undefined) return known;
    // A loop comes here again: it stirs if anything does that leads into it.
    this.known.set(signal, TRUE);
    const found = signal < structure.netCount ? this.ofNet(signal) : this.ofOther(signal);
    this.known.set(signal, found);
    return found;
  }

  private ofOther(signal: Signal): Bit {
    const { graph, levels, rest } = this.step;
    const before = rest.levels[signal] ?? this.step.now(signal);
    const { stages, glitch } = this.step.changeOf(signal);
    return graph.or(glitch, graph.any(stages.map((stage) => levels.mayDiffer(before, stage))));
  }

  /** A net as it is without what one port drives. */
  ofOthers(net: Signal, port: number): Bit {
    return this.step.graph.any(driversBut(this.step.structure, net, port).map((driver) => this.ofDriver(driver)));
  }

  private ofNet(net: Signal): Bit {
    return this.ofOthers(net, -1);
  }

  private ofDriver(driver: Driver): Bit {
    const { structure, graph, levels } = this.step;
    if (driver.kind === "source") {
      const signal = structure.sources[driver.source]?.signal ?? 0;
      const drives = graph.xor(this.step.drives(signal).before, this.step.drives(signal).now);
      return graph.or(drives, this.of(signal));
    }
    if (driver.kind === "logic") {
      const { chip, value, enable } = driver;
      const signalOf = (name: string) => structure.signalOf(chip, name);
      if (!enable) return this.ofExpression(value, signalOf);
      const on = levels.evaluate(enable, (name) => this.step.now(signalOf(name)));
      const passed = graph.and(levels.mayBeHigh(on), this.ofExpression(value, signalOf));
      return graph.or(this.ofExpression(enable, signalOf), passed);
    }
    const port = structure.ports[driver.port];
    if (!port) return FALSE;
    const signalOf = (name: string) => structure.signalOf(port.chip, name);
    const controls = [port.read, ...(port.write ? [port.write] : [])];
    const control = graph.any(controls.map((expression) => this.ofExpression(expression, signalOf)));
    const on = levels.evaluate(port.read, (name) => this.step.now(signalOf(name)));
    const address = graph.any(port.address.map((signal) => this.of(signal)));
    const others = (structure.memories[port.memory]?.ports ?? []).filter((other) => other !== driver.port);
    const written = graph.any(others.flatMap((other) => this.ofPort(other)));
    return graph.or(control, graph.and(levels.mayBeHigh(on), graph.or(address, written)));
  }

  /** Everything that a port is told. */
  private ofPort(index: number): readonly Bit[] {
    const port = this.step.structure.ports[index];
    if (!port?.write) return [];
    const controls = namesOf(port.write).map((name) => this.step.structure.signalOf(port.chip, name));
    return [...port.address, ...port.data, ...controls].map((signal) => this.of(signal));
  }

  /** Whether an expression may move while those of its names that stir take any level and the others stay. */
  private ofExpression(expression: Expression, signalOf: (name: string) => Signal): Bit {
    const { graph, levels, ordering } = this.step;
    const names = namesOf(expression).map(signalOf);
    if (!names.some((signal) => ordering.canChange(signal))) return FALSE;
    const { known } = levels.evaluate(expression, (name) => {
      const signal = signalOf(name);
      return { value: this.step.now(signal).value, known: graph.not(this.of(signal)) };
    });
    return graph.not(known);
  }
}
