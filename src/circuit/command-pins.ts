import { type Behaviour, type Expression, memoryPorts, namesIn } from "../parts/index.js";

/** The pins of a part whose level or edge makes it store, drive or let go; all others bring data. */
export function commandPins({ pins, storage, outputs, ...behaviour }: Behaviour): readonly string[] {
  const commands: readonly (Expression | undefined)[] = [
    ...storage.flatMap((bit) => [
      bit.kind === "register" ? bit.clock : bit.open,
      ...bit.overrides.map(({ when }) => when),
    ]),
    ...outputs.map(({ enable }) => enable),
    ...memoryPorts({ pins, storage, outputs, ...behaviour }).flatMap(({ read, write }) => [read, write]),
    behaviour.clockSource?.enable,
  ];
  const named = new Set(commands.flatMap((expression) => (expression ? namesIn(expression) : [])));
  return pins.map(({ name }) => name).filter((name) => named.has(name));
}
