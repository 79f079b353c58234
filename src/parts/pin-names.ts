import type { Behaviour, Pin } from "./behaviour.js";

/** The pin that a data sheet of any maker calls `name`; undefined where it is no pin or the name of several. */
export function pinNamed(behaviour: Behaviour, name: string): Pin | undefined {
  const own = behaviour.pins.find((pin) => pin.name === name);
  if (own) return own;
  const alias = aliasFor(behaviour, name);
  return alias === undefined ? undefined : behaviour.pins.find((pin) => pin.name === alias);
}

/** The pins that a row of a data sheet means by `name`: one pin, or the pins of a group; empty where nothing has that name. */
export function pinsNamed(behaviour: Behaviour, name: string): readonly Pin[] {
  const pin = pinNamed(behaviour, name);
  if (pin) return [pin];
  const group = aliasFor(behaviour, name) ?? name;
  return behaviour.pins.filter((pin) => pin.group === group);
}

/** Sheets print the same name with and without inner spaces: `CLK INH`, `SRCLR #`. */
function aliasFor(behaviour: Behaviour, name: string): string | undefined {
  const close = name.replaceAll(" ", "");
  const alias = Object.hasOwn(behaviour.aliases, close) ? behaviour.aliases[close] : undefined;
  return alias ?? (close === name ? undefined : close);
}
