import type { Expression } from "../parts/index.js";
import type { PinRef } from "./circuit.js";

type Level = 0 | 1 | undefined;

/** Whether an output drives its net, as far as the rails on its chip's own pins decide it. */
export function drivingOf({ chip, pin }: PinRef): "always" | "never" | "sometimes" {
  const { behaviour } = chip.part;
  if (behaviour.master) {
    const isOutput = behaviour.pins.some(({ name, role }) => name === pin && role === "output");
    const keepsBus = behaviour.master.releasedBy.every((name) => chip.nets.get(name)?.rail === "high");
    return isOutput && keepsBus ? "always" : "sometimes";
  }
  const levelOf = (name: string): Level => {
    const rail = chip.nets.get(name)?.rail;
    if (rail !== undefined) return rail === "high" ? 1 : 0;
    // The enable of an oscillator can has a pull-up inside: left open it runs.
    return behaviour.clockSource && chip.open.has(name) ? 1 : undefined;
  };
  const source = behaviour.clockSource?.pin === pin ? behaviour.clockSource : undefined;
  const output = behaviour.outputs.find((candidate) => candidate.pin === pin) ?? source;
  if (output) {
    const level = output.enable ? settle(output.enable, levelOf) : 1;
    return level === undefined ? "sometimes" : level === 1 ? "always" : "never";
  }
  const { memory } = behaviour;
  if (!memory?.data.includes(pin)) return "sometimes";
  const level = settle(memory.read, levelOf);
  if (level === 0) return "never";
  return level === 1 && !memory.write ? "always" : "sometimes";
}

/** The value of an expression as far as the known levels decide it. */
function settle(expression: Expression, levelOf: (name: string) => Level): Level {
  switch (expression.kind) {
    case "constant":
      return expression.value;
    case "name":
      return levelOf(expression.name);
    case "not":
      return flip(settle(expression.of, levelOf));
    case "and":
    case "or": {
      const decisive = expression.kind === "and" ? 0 : 1;
      const left = settle(expression.left, levelOf);
      const right = settle(expression.right, levelOf);
      if (left === decisive || right === decisive) return decisive;
      return left === undefined || right === undefined ? undefined : flip(decisive);
    }
    case "xor": {
      const left = settle(expression.left, levelOf);
      const right = settle(expression.right, levelOf);
      return left === undefined || right === undefined ? undefined : left === right ? 0 : 1;
    }
    case "choose": {
      const when = settle(expression.when, levelOf);
      const then = settle(expression.then, levelOf);
      const otherwise = settle(expression.otherwise, levelOf);
      if (when === undefined) return then === otherwise ? then : undefined;
      return when === 1 ? then : otherwise;
    }
  }
}

function flip(level: Level): Level {
  return level === undefined ? undefined : level === 1 ? 0 : 1;
}
