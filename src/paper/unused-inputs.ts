import type { Chip } from "../circuit/index.js";
import { type Expression, namesIn } from "../parts/index.js";

/**
 * The input pins of a chip that nothing in the circuit depends on: those of gates whose outputs are all left open. A chip
 * with a memory or a free-running clock uses every pin as long as one of its outputs is on a net, a processor always.
 */
export function unusedInputs(chip: Chip): ReadonlySet<string> {
  const { behaviour } = chip.part;
  const inputs = behaviour.pins.filter(({ role }) => role === "input").map(({ name }) => name);
  const wired = (pin: string) => chip.nets.has(pin);
  if (behaviour.memory || behaviour.clockSource || behaviour.master) {
    const drivesSomething = behaviour.pins.some(
      ({ name, role }) => (role === "output" || role === "in-out") && wired(name),
    );
    return new Set(drivesSomething ? [] : inputs);
  }

  const used = new Set<string>();
  const storage = new Map(behaviour.storage.map((bit) => [bit.name, bit]));
  const use = (expression: Expression): void => {
    for (const name of namesIn(expression)) {
      if (used.has(name)) continue;
      used.add(name);
      const bit = storage.get(name);
      if (!bit) continue;
      use(bit.next);
      use(bit.kind === "register" ? bit.clock : bit.open);
      for (const { when, value } of bit.overrides) {
        use(when);
        use(value);
      }
    }
  };
  for (const output of behaviour.outputs.filter(({ pin }) => wired(pin))) {
    use(output.value);
    if (output.enable) use(output.enable);
  }
  return new Set(inputs.filter((pin) => !used.has(pin)));
}
