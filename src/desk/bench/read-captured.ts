import { type CapturedBegin, type ChannelReading, DumpMeter, FirstEdges, TableMeter } from "../../bench/index.js";
import { DumpReader } from "../../simulation/index.js";

/** What the channels of a capture did, and its first edges. */
export interface ReadCapture {
  readonly channels: readonly ChannelReading[];
  readonly begin: CapturedBegin;
}

/**
 * Counts what the channels of a capture did, piece by piece: a table by the ending of its name, a value change dump otherwise. The
 * edges of its first `most` seconds are kept.
 *
 * @throws Error with the line that cannot be read
 */
export async function readCaptured(
  capture: Blob,
  name: string,
  most: number,
  samplePeriod?: number,
): Promise<ReadCapture> {
  const edges = new FirstEdges(most);
  const beginOf = () => ({ channels: edges.channels, sample: samplePeriod ?? edges.nearest });
  const reader = capture.stream().pipeThrough(new TextDecoderStream()).getReader();
  const pieces = async (push: (text: string) => boolean) => {
    for (let piece = await reader.read(); !piece.done; piece = await reader.read()) {
      if (!push(piece.value)) break;
    }
  };
  if (/\.(csv|tsv|txt)$/i.test(name)) {
    const table = new TableMeter(samplePeriod, edges.listen);
    await pieces((text) => {
      table.push(text);
      return table.problem === undefined;
    });
    table.end();
    if (table.problem !== undefined) throw new Error(`${name}: ${table.problem}`);
    return { channels: table.channels, begin: beginOf() };
  }
  const meter = new DumpMeter(edges.listen);
  const dump = new DumpReader(meter);
  await pieces((text) => {
    dump.push(text);
    return !dump.problem;
  });
  const problem = dump.end();
  if (problem) throw new Error(`${name}, line ${problem.line}, column ${problem.column}: ${problem.what}`);
  return { channels: meter.channels, begin: beginOf() };
}
