import {
  type CaptureListener,
  type CapturedBegin,
  type ChannelReading,
  DumpMeter,
  FirstEdges,
  TableMeter,
} from "../bench/index.js";
import type { Report } from "../judging/index.js";
import { DumpReader } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { readInPieces } from "./files.js";

/**
 * Counts what the channels of a capture did, and keeps the edges of its first `most` seconds.
 *
 * @throws BadInput with the line that cannot be read
 */
export async function readCapture(
  file: string,
  samplePeriod: number | undefined,
  most: number,
  tell: Report,
): Promise<{ readonly channels: readonly ChannelReading[]; readonly begin: CapturedBegin }> {
  const edges = new FirstEdges(most);
  const channels = await hearCapture(file, samplePeriod, edges.listen, tell);
  return { channels, begin: { channels: edges.channels, sample: samplePeriod ?? edges.nearest } };
}

/**
 * Reads a capture piece by piece, a value change dump, or a table (CSV) by its name, and tells `listen` what happens in it.
 *
 * @throws BadInput with the line that cannot be read
 */
export async function hearCapture(
  file: string,
  samplePeriod: number | undefined,
  listen: CaptureListener,
  tell: Report,
): Promise<readonly ChannelReading[]> {
  if (/\.(csv|tsv|txt)$/i.test(file)) {
    const table = new TableMeter(samplePeriod, listen);
    await readInPieces(file, (text, share) => {
      table.push(text);
      tell(share, 1);
      return table.problem === undefined;
    });
    table.end();
    if (table.problem !== undefined) throw new BadInput(`${file}: ${table.problem}`);
    return table.channels;
  }
  const meter = new DumpMeter(listen);
  const reader = new DumpReader(meter);
  await readInPieces(file, (text, share) => {
    reader.push(text);
    tell(share, 1);
    return !reader.problem;
  });
  const problem = reader.end();
  if (problem) throw new BadInput(`${file}:${problem.line}:${problem.column}: ${problem.what}`);
  return meter.channels;
}
