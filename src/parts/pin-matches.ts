import type { Behaviour } from "./behaviour.js";

/**
 * Whether a name in a figure row means this pin: the pin itself, its group, or the pin without the number of its section
 * (`CLK` for `2CLK`, `QA` for `1QA`); `Q` means every one of `QA` to `QN`.
 */
export function pinMatcher(behaviour: Behaviour): (names: readonly string[], pin: string) => boolean {
  const meanings = new Map(
    behaviour.pins.map(({ name, group }) => {
      const section = name.replace(/^\d+(?=[A-Z])/, "");
      const plain = section.replace(/\d+(?=#?$)/, "");
      return [name, new Set([name, group, section, plain, ...(/^Q[A-N]$/.test(section) ? ["Q"] : [])])] as const;
    }),
  );
  return (names, pin) => names.some((name) => meanings.get(pin)?.has(name) ?? false);
}
