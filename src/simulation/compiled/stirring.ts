import { namesOf } from "./level.js";
import type { Expression } from "../../parts/index.js";
import { type Bit, FALSE, TRUE } from "./bit-graph.js";
import { driversBut } from "./net-level.js";
import type { StepView } from "./step-view.js";
import { type Driver, type Signal, actingNames } from "./structure.js";

/**
 * Whether a signal may move at all between one rest and the next, be it there and back. Its last level does not tell: an
 * exclusive OR of two signals that both change ends where it began and may pulse meanwhile. Never too little; a gate that is
 * held shut by a steady input does not stir.
 */
export class Stirring {
  private readonly step: StepView;
  private readonly known = new Map<Signal, Bit>();
  /** Whatever stirs, on any way. */
  private readonly whole: Stirring;
  private readonly canStir: (signal: Signal) => boolean;

  /** With `beside` only what stirs on ways from the outside change that do not lead through that signal; `whole` knows all. */
  constructor(step: StepView, beside?: { readonly signal: Signal; readonly whole: Stirring }) {
    this.step = step;
    this.whole = beside?.whole ?? this;
    this.canStir = (signal) =>
      beside ? step.ordering.canChangeBeside(signal, beside.signal) : step.ordering.canChange(signal);
  }

  of(signal: Signal): Bit {
    const { structure } = this.step;
    if (!this.canStir(signal)) return FALSE;
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
    const moves = graph.or(glitch, graph.any(stages.map((stage) => levels.mayDiffer(before, stage))));
    if (this.whole === this) return moves;
    const { structure } = this.step;
    const bit = structure.bits[signal - structure.netCount];
    if (!bit) return moves;
    // What a bit holds changes when something acts on it.
    const acting = actingNames(bit.storage).map((name) => this.of(structure.signalOf(bit.chip, name)));
    return graph.and(moves, graph.any(acting));
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
      const isOpen = graph.or(levels.mayBeHigh(on), this.whole.ofExpression(enable, signalOf));
      return graph.or(this.ofExpression(enable, signalOf), graph.and(isOpen, this.ofExpression(value, signalOf)));
    }
    const port = structure.ports[driver.port];
    if (!port) return FALSE;
    const signalOf = (name: string) => structure.signalOf(port.chip, name);
    const controls = [port.read, ...(port.write ? [port.write] : [])];
    const controlOf = (stirring: Stirring) =>
      graph.any(controls.map((expression) => stirring.ofExpression(expression, signalOf)));
    const on = levels.evaluate(port.read, (name) => this.step.now(signalOf(name)));
    const isOpen = graph.or(levels.mayBeHigh(on), controlOf(this.whole));
    const address = graph.any(port.address.map((signal) => this.of(signal)));
    const others = (structure.memories[port.memory]?.ports ?? []).filter((other) => other !== driver.port);
    const written = graph.any(others.flatMap((other) => this.ofPort(other)));
    return graph.or(controlOf(this), graph.and(isOpen, graph.or(address, written)));
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
    const { graph, levels } = this.step;
    const names = namesOf(expression).map(signalOf);
    if (!names.some((signal) => this.canStir(signal))) return FALSE;
    const { known } = levels.evaluate(expression, (name) => {
      const signal = signalOf(name);
      return { value: this.step.now(signal).value, known: graph.not(this.whole.of(signal)) };
    });
    const moves = graph.not(known);
    return this.whole === this ? moves : graph.and(moves, graph.any(names.map((signal) => this.of(signal))));
  }
}
