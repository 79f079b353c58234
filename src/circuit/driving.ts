import { type Expression, memoryPorts } from "../parts/index.js";
import type { Chip, PinRef } from "./circuit.js";

type Level = 0 | 1 | undefined;

/** Whether an output drives its net, as far as the rails on its chip's own pins decide it. */
export function drivingOf({ chip, pin }: PinRef): "always" | "never" | "sometimes" {
  const { behaviour } = chip.part;
  if (behaviour.master) {
    const isOutput = behaviour.pins.some(({ name, role }) => name === pin && role === "output");
    const keepsBus = behaviour.master.releasedBy.every((name) => chip.nets.get(name)?.rail === "high");
    return isOutput && keepsBus ? "always" : "sometimes";
  }
  const levelOf = levelsAt(chip);
  const source = behaviour.clockSource?.pin === pin ? behaviour.clockSource : undefined;
  const output = behaviour.outputs.find((candidate) => candidate.pin === pin) ?? source;
  if (output) {
    const level = output.enable ? settle(output.enable, levelOf) : 1;
    return level === undefined ? "sometimes" : level === 1 ? "always" : "never";
  }
  const port = memoryPorts(behaviour).find(({ data }) => data.includes(pin));
  if (!port) return "sometimes";
  const [reads, writes] = [settle(port.read, levelOf), port.write ? settle(port.write, levelOf) : 0];
  if (reads === 0 || writes === 1) return "never";
  return reads === 1 && writes === 0 ? "always" : "sometimes";
}

/** Whether an expression of a chip's pins can be true, as far as rails on those pins decide it. */
export function canHold(chip: Chip, expression: Expression): boolean {
  return settle(expression, levelsAt(chip)) !== 0;
}

/** The levels of a chip's pins that rails hold. */
function levelsAt({ part, nets, open }: Chip): (pin: string) => Level {
  return (pin) => {
    const rail = nets.get(pin)?.rail;
    if (rail !== undefined) return rail === "high" ? 1 : 0;
    // The enable of an oscillator can has a pull-up inside: left open it runs.
    return part.behaviour.clockSource && open.has(pin) ? 1 : undefined;
  };
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
