import { type CapturedBegin, type ChannelReading, DumpMeter, FirstEdges, TableMeter } from "../bench/index.js";
import { DumpReader } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { readInPieces } from "./files.js";

/**
 * Counts what the channels of a capture did: a value change dump, or a table (CSV) by its name. The file is read piece by
 * piece; the edges of its first `most` seconds are kept.
 *
 * @throws BadInput with the line that cannot be read
 */
export async function readCapture(
  file: string,
  samplePeriod: number | undefined,
  most: number,
  tell: (done: number, total: number) => void,
): Promise<{ readonly channels: readonly ChannelReading[]; readonly begin: CapturedBegin }> {
  const edges = new FirstEdges(most);
  if (/\.(csv|tsv|txt)$/i.test(file)) {
    const table = new TableMeter(samplePeriod, edges.listen);
    await readInPieces(file, (text, share) => {
      table.push(text);
      tell(share, 1);
      return table.problem === undefined;
    });
    table.end();
    if (table.problem !== undefined) throw new BadInput(`${file}: ${table.problem}`);
    return { channels: table.channels, begin: beginOf(edges, samplePeriod) };
  }
  const meter = new DumpMeter(edges.listen);
  const reader = new DumpReader(meter);
  await readInPieces(file, (text, share) => {
    reader.push(text);
    tell(share, 1);
    return !reader.problem;
  });
  const problem = reader.end();
  if (problem) throw new BadInput(`${file}:${problem.line}:${problem.column}: ${problem.what}`);
  return { channels: meter.channels, begin: beginOf(edges, samplePeriod) };
}

function beginOf({ channels, nearest }: FirstEdges, samplePeriod: number | undefined): CapturedBegin {
  return { channels, sample: samplePeriod ?? nearest };
}
