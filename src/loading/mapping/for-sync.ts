import type { Chip, Circuit, Net } from "../../circuit/index.js";
import { memoryPorts, namesIn } from "../../parts/index.js";

/** Whether the syncs hang on a memory: whether a way leads from it to them, through whatever gates and flip-flops. */
export function isForSync(circuit: Circuit, memory: Chip): boolean {
  const { picture } = circuit;
  if (!picture) return false;
  const seen = new Set<Net>();
  const open = [circuit.nets[picture.hsync], circuit.nets[picture.vsync]];
  for (let net = open.pop(); net; net = open.pop()) {
    if (seen.has(net) || net.rail) continue;
    seen.add(net);
    for (const chip of circuit.chips) {
      for (const [pin, its] of chip.nets) {
        if (its !== net || !isOutput(chip, pin)) continue;
        if (chip === memory) return true;
        open.push(...causesOfPin(chip, pin));
      }
    }
  }
  return false;
}

function isOutput({ part }: Chip, pin: string): boolean {
  const role = part.behaviour.pins.find(({ name }) => name === pin)?.role;
  return role === "output" || role === "in-out";
}

/** Nets on which an output of a chip hangs, at once or by what the chip stores. */
function causesOfPin({ part, nets }: Chip, pin: string): readonly Net[] {
  const { behaviour } = part;
  const names = new Set(
    behaviour.outputs
      .filter((output) => output.pin === pin)
      .flatMap(({ value, enable }) => [value, ...(enable ? [enable] : [])])
      .flatMap(namesIn),
  );
  for (const { address, data, read } of memoryPorts(behaviour)) {
    if (data.includes(pin)) for (const name of [...address, ...namesIn(read)]) names.add(name);
  }
  for (const name of names) {
    const storage = behaviour.storage.find((one) => one.name === name);
    if (!storage) continue;
    const acting = storage.kind === "register" ? storage.clock : storage.open;
    const overrides = storage.overrides.flatMap(({ when, value }) => [when, value]);
    for (const read of [storage.next, acting, ...overrides].flatMap(namesIn)) names.add(read);
  }
  return [...names].flatMap((name) => nets.get(name) ?? []);
}
