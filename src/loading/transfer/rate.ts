import type { Circuit } from "../../circuit/index.js";
import { type Raster, fieldRate, fieldsPerFrame, inHertz, lineRate } from "../../raster/index.js";
import { type SentByte, Sender } from "./sender.js";
import type { WritePath } from "./write-path.js";

/** How long a transfer takes at least, by the promises of the circuit's inputs. Times in femtoseconds. */
export interface TransferRate {
  readonly bytes: number;
  /** From the first change of an input to the last. */
  readonly timeFs: number;
  /** From byte to byte, on average; that of one byte where only one is sent. */
  readonly byteFs: number;
  readonly pinChanges: number;
  /** Bytes that fit into one vertical blanking, and how long the transfer takes when it goes on only there. */
  readonly perBlanking: number;
  readonly inBlankingFs: number;
}

/** The bytes that go into one memory. */
export interface Transfer {
  readonly path: WritePath;
  readonly bytes: readonly SentByte[];
}

/** Reckons the least time of a transfer into one memory after the other. */
export function rateOf(
  circuit: Circuit,
  raster: Raster,
  [first, ...others]: readonly [Transfer, ...Transfer[]],
): TransferRate {
  const sender = new Sender(
    circuit,
    first.path,
    0,
    others.map(({ path }) => path),
  );
  const bytes = [first, ...others].flatMap((transfer) => transfer.bytes.map((one) => ({ one, path: transfer.path })));
  let firstFs = 0;
  bytes.forEach(({ one, path }, index) => {
    sender.send(one, path);
    if (index === 0) firstFs = sender.now;
  });
  const pinChanges = sender.take().length;
  const timeFs = sender.now;
  const byteFs = bytes.length > 1 ? (timeFs - firstFs) / (bytes.length - 1) : timeFs;
  const fieldFs = 1e15 / inHertz(fieldRate(raster));
  const blankLines = raster.v.total - raster.v.active;
  const blankFs = (blankLines * 1e15) / inHertz(lineRate(raster)) / fieldsPerFrame(raster);
  const perBlanking = byteFs === 0 ? 0 : Math.floor(blankFs / byteFs);
  const blankings = perBlanking === 0 ? Infinity : Math.ceil(bytes.length / perBlanking);
  return { bytes: bytes.length, timeFs, byteFs, pinChanges, perBlanking, inBlankingFs: blankings * fieldFs };
}
