import type { Chip, Circuit, Net } from "../../circuit/index.js";
import { memoryPorts, namesIn } from "../../parts/index.js";

/** What chips do in a video circuit, in the order in which a signal goes through it. */
const jobs = [
  "Clock",
  "Counters",
  "Decoding",
  "Registers and control",
  "Address owners",
  "Processor side",
  "Memory",
  "Data owners",
  "Video",
  "Sync",
] as const;

type Job = (typeof jobs)[number];

/** What each chip does, told from its function and from what its pins are on; in the order of the jobs. */
export function jobsOf(circuit: Circuit): ReadonlyMap<Chip, string> {
  const { chips } = circuit;
  const memories = chips.filter(({ part }) => memoryPorts(part.behaviour).length > 0);
  const pinsOf = (pick: "address" | "data") =>
    new Set(
      memories.flatMap((chip) =>
        memoryPorts(chip.part.behaviour).flatMap((port) => port[pick].flatMap((pin) => chip.nets.get(pin)?.id ?? [])),
      ),
    );
  const [address, data] = [pinsOf("address"), pinsOf("data")];
  const towards = behindPictureNets(circuit);
  const found = chips.map((chip): [Chip, Job] => [chip, jobOf(chip)]);
  return new Map(jobs.flatMap((job) => found.filter(([, its]) => its === job)));

  function jobOf(chip: Chip): Job {
    const { behaviour } = chip.part;
    const drives = drivenBy(chip);
    const releases = behaviour.outputs.some(({ enable }) => enable !== undefined);
    if (behaviour.clockSource) return "Clock";
    if (behaviour.master) return "Processor side";
    if (memories.includes(chip)) return "Memory";
    if (releases && drives.some(({ id }) => address.has(id)))
      return isFromOutside(chip) ? "Processor side" : "Address owners";
    if (releases && drives.some(({ id }) => data.has(id)))
      return isFromOutside(chip) ? "Processor side" : "Data owners";
    const way = towards.get(chip);
    if (way) return way;
    if (/counter/i.test(behaviour.title)) return "Counters";
    if (drives.some(({ id }) => address.has(id))) return "Address owners";
    if (behaviour.storage.length === 0) return "Decoding";
    if (isFromOutside(chip)) return "Processor side";
    return dividesTheClock(chip) ? "Clock" : "Registers and control";
  }
}

function drivenBy(chip: Chip): Net[] {
  return [...chip.nets].flatMap(([pin, net]) =>
    net.drivers.some((driver) => driver.chip === chip && driver.pin === pin) ? [net] : [],
  );
}

function readBy(chip: Chip): Net[] {
  return [...chip.nets].flatMap(([pin, net]) =>
    net.receivers.some((end) => end.chip === chip && end.pin === pin) ? [net] : [],
  );
}

/** Whether it reads signals that come at any time from outside, or that a processor drives. */
function isFromOutside(chip: Chip): boolean {
  return readBy(chip).some(
    ({ input, drivers }) =>
      (input !== undefined && input.timing.kind !== "power-up only") ||
      drivers.some((driver) => driver.chip.part.behaviour.master !== undefined),
  );
}

/** Whether it makes a clock of the oscillator's. */
function dividesTheClock(chip: Chip): boolean {
  const isOscillator = ({ drivers }: Net) => drivers.some((driver) => driver.chip.part.behaviour.clockSource);
  const isClock = ({ receivers }: Net) =>
    receivers.some(({ chip: other, pin }) =>
      other.part.behaviour.storage.some((bit) => bit.kind === "register" && namesIn(bit.clock).includes(pin)),
    );
  return readBy(chip).some(isOscillator) && drivenBy(chip).some(isClock);
}

/** The chips that drive what the monitor sees, and those that feed nothing but them: buffers, shift registers, sync flip-flops. */
function behindPictureNets({ picture, nets }: Circuit): Map<Chip, Job> {
  const jobs = new Map<Chip, Job>();
  if (!picture) return jobs;
  const { video } = picture;
  const seen = video.kind === "mono" ? [video.net] : [...video.red, ...video.green, ...video.blue];
  const walk = (id: number, job: Job, depth: number): void => {
    for (const { chip } of nets[id]?.drivers ?? []) {
      if (jobs.has(chip) || memoryPorts(chip.part.behaviour).length > 0) continue;
      const isShift = /shift/i.test(chip.part.behaviour.title);
      const { storage } = chip.part.behaviour;
      if (depth > 0 && !isShift && storage.length === 0) continue;
      if (/counter/i.test(chip.part.behaviour.title)) continue;
      jobs.set(chip, job);
      // Behind a register lie decoding and memory, which have jobs of their own.
      if (storage.length > 0) continue;
      for (const net of readBy(chip)) if (net.rail === undefined) walk(net.id, job, depth + 1);
    }
  };
  for (const id of seen) walk(id, "Video", 0);
  for (const id of [picture.hsync, picture.vsync]) walk(id, "Sync", 0);
  return jobs;
}
