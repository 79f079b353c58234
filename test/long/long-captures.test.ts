import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { describe, expect, it } from "vitest";
import { DumpMeter, TableMeter } from "../../src/bench/index.js";
import { DumpReader } from "../../src/simulation/dump/reader.js";

const MEGABYTE = 2 ** 20;
const SIZE = 300 * MEGABYTE;
/** A few pieces and the rest of a line: nothing that grows with the capture. */
const MOST_HELD = 20 * MEGABYTE;

/** Lines of a capture in pieces of a megabyte or so, until there are so many bytes. */
function* pieces(line: (sample: number) => string, size: number): Generator<string> {
  let sample = 0;
  for (let written = 0; written < size;) {
    const lines: string[] = [];
    for (let count = 0; count < 40_000; count++) lines.push(line(sample++));
    const text = `${lines.join("\n")}\n`;
    written += text.length;
    yield text;
  }
}

setFlagsFromString("--expose-gc");
const collectGarbage: unknown = runInNewContext("gc");

/** Bytes by which what is still held grows while a capture is read: after a collection, every so many pieces. */
function growthWhile(feed: (text: string) => void, text: Iterable<string>): number {
  const held = () => {
    if (typeof collectGarbage !== "function") throw new Error("garbage cannot be collected here");
    collectGarbage();
    const { heapUsed, external } = process.memoryUsage();
    return heapUsed + external;
  };
  const before = held();
  let [most, count] = [0, 0];
  for (const piece of text) {
    feed(piece);
    if (++count % 25 === 0) most = Math.max(most, held() - before);
  }
  return most;
}

describe("a capture of hundreds of megabytes", () => {
  it("is read as a table within bounded memory", { timeout: 600_000 }, () => {
    const meter = new TableMeter();
    meter.push("Time [ns],D0,D1\n");
    const growth = growthWhile(
      (text) => meter.push(text),
      pieces((sample) => `${sample * 100},${(sample >> 2) & 1},${(sample >> 5) & 1}`, SIZE),
    );
    meter.end();
    console.log(`${SIZE / MEGABYTE} MB of table: ${(growth / MEGABYTE).toFixed(0)} MB held at most`);
    expect(meter.problem).toBeUndefined();
    // A rise every eight samples of 100 ns.
    expect(meter.channels[0]?.hertz).toBeCloseTo(1.25e6, 0);
    expect(growth).toBeLessThan(MOST_HELD);
  });

  it("is read as a value change dump within bounded memory", { timeout: 600_000 }, () => {
    const meter = new DumpMeter();
    const reader = new DumpReader(meter);
    reader.push("$timescale 1 ns $end\n$var wire 1 ! D0 $end\n$enddefinitions $end\n");
    const growth = growthWhile(
      (text) => reader.push(text),
      pieces((change) => `#${change * 400}\n${change & 1}!`, SIZE),
    );
    expect(reader.end()).toBeUndefined();
    console.log(`${SIZE / MEGABYTE} MB of dump: ${(growth / MEGABYTE).toFixed(0)} MB held at most`);
    expect(meter.channels[0]?.hertz).toBeCloseTo(1.25e6, 0);
    expect(growth).toBeLessThan(MOST_HELD);
  });
});
