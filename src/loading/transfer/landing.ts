import type { Circuit } from "../../circuit/index.js";
import { type Raster, fieldRate, inHertz, linesBeforePicture } from "../../raster/index.js";
import { type Machine, BeamScreen, randomStream } from "../../simulation/index.js";
import { drive } from "./play.js";
import { Sender } from "./sender.js";
import { type WritePath, isFixed } from "./write-path.js";

/** Bytes that were sent at moments spread over a frame, and those of them that were written soon. */
export interface Landing {
  /** While the picture is drawn, line blanking included, and in vertical blanking. */
  readonly inPicture: { readonly sent: number; readonly landed: number };
  readonly inBlanking: { readonly sent: number; readonly landed: number };
}

const TRIES = 48;
/** Odd, so that a change of an input does not fall on an edge of an oscillator. */
const OFFSET_FS = 3_137_311;
/** Oscillator periods in which a write is sure to be over, and at least so long in femtoseconds. */
const [SETTLE_PERIODS, SETTLE_FS] = [64, 5_000_000_000];

/** Sends bytes at moments spread over a frame and looks whether they land. The machine is left as it was; nothing where no monitor locks. */
export function landingOf(circuit: Circuit, machine: Machine, raster: Raster, path: WritePath): Landing | undefined {
  const { picture } = circuit;
  if (!picture) return undefined;
  const start = machine.save();
  const seen = new BeamScreen(machine, picture, { raster, pixel: raster.h.active / picture.width }).runFrame();
  if (!seen.locked) {
    machine.restore(start);
    return undefined;
  }
  const { h, v } = seen.lock;
  const begin = v.leadingFs.at(-1) ?? machine.now;
  const fieldFs = 1e15 / inHertz(fieldRate(raster));
  const settle = Math.max(SETTLE_FS, SETTLE_PERIODS * machine.period);
  const random = randomStream("bytes at any time", 1);
  const counts = { inPicture: { sent: 0, landed: 0 }, inBlanking: { sent: 0, landed: 0 } };
  const from = machine.now;
  for (let trial = 0; trial < TRIES; trial++) {
    machine.run(Math.max(machine.now, Math.round(from + ((trial + random()) / TRIES) * fieldFs)));
    for (const [net, level] of path.rest) machine.drive(net, machine.now + 1, level);
    const line = ((machine.now - begin) % fieldFs) / h.period - linesBeforePicture(raster);
    const count = line >= 0 && line < raster.v.active ? counts.inPicture : counts.inBlanking;
    const address = path.address.reduce((sum, source, bit) => {
      return sum + (isFixed(source) ? source.level : Math.floor(random() * 2)) * 2 ** bit;
    }, 0);
    const before = machine.contentsOf(path.ram)[address] ?? 0;
    const byte = path.data.reduce(
      (sum, source, bit) => sum | (isFixed(source) ? source.level << bit : ~before & (1 << bit)),
      0,
    );
    const sender = new Sender(circuit, path, machine.now + OFFSET_FS);
    sender.send({ address, byte });
    drive(machine, sender.take());
    machine.run(sender.now + settle);
    count.sent++;
    if (machine.contentsOf(path.ram)[address] === byte) count.landed++;
  }
  machine.restore(start);
  return counts;
}

/** The same of several memories, taken together. */
export function landingsOf(
  circuit: Circuit,
  machine: Machine,
  raster: Raster,
  paths: readonly WritePath[],
): Landing | undefined {
  const all = paths.flatMap((path) => landingOf(circuit, machine, raster, path) ?? []);
  const sum = (of: keyof Landing) => ({
    sent: all.reduce((count, landing) => count + landing[of].sent, 0),
    landed: all.reduce((count, landing) => count + landing[of].landed, 0),
  });
  return all.length === 0 ? undefined : { inPicture: sum("inPicture"), inBlanking: sum("inBlanking") };
}

/** Whether bytes are lost or late while the picture is drawn, and none in vertical blanking. */
export function isForBlanking({ inPicture, inBlanking }: Landing): boolean {
  return inPicture.landed < inPicture.sent && inBlanking.landed === inBlanking.sent && inBlanking.sent > 0;
}
