import { type ChannelReading, DumpMeter, TableMeter } from "../../bench/index.js";
import { DumpReader } from "../../simulation/index.js";

/**
 * Counts what the channels of a capture did, piece by piece: a table by the ending of its name, a value change dump otherwise.
 *
 * @throws Error with the line that cannot be read
 */
export async function readCaptured(
  capture: Blob,
  name: string,
  samplePeriod?: number,
): Promise<readonly ChannelReading[]> {
  const reader = capture.stream().pipeThrough(new TextDecoderStream()).getReader();
  const pieces = async (push: (text: string) => boolean) => {
    for (let piece = await reader.read(); !piece.done; piece = await reader.read()) {
      if (!push(piece.value)) break;
    }
  };
  if (/\.(csv|tsv|txt)$/i.test(name)) {
    const table = new TableMeter(samplePeriod);
    await pieces((text) => {
      table.push(text);
      return table.problem === undefined;
    });
    table.end();
    if (table.problem !== undefined) throw new Error(`${name}: ${table.problem}`);
    return table.channels;
  }
  const meter = new DumpMeter();
  const dump = new DumpReader(meter);
  await pieces((text) => {
    dump.push(text);
    return !dump.problem;
  });
  const problem = dump.end();
  if (problem) throw new Error(`${name}, line ${problem.line}, column ${problem.column}: ${problem.what}`);
  return meter.channels;
}
