import { ChannelMeter, type ChannelReading } from "./capture-meter.js";
import type { CaptureListener } from "./captured-edges.js";

/** Units of a column of times, as they stand in its name: `Time [ns]`, `time(us)`. */
const UNITS: Readonly<Record<string, number>> = { s: 1, ms: 1e-3, us: 1e-6, µs: 1e-6, ns: 1e-9, ps: 1e-12 };
const LONGEST_LINE = 65_536;

/**
 * Counts the channels of a table with a line for each sample or change and a column for each channel, from text that comes in
 * pieces. A column whose name begins with `time` holds time stamps; without one each line is a sample period later.
 */
export class TableMeter {
  private readonly period: number | undefined;
  private readonly listen: CaptureListener | undefined;
  private rest = "";
  private line = 0;
  private samples = 0;
  private separator = ",";
  private timeColumn = -1;
  private unit = 1;
  private meters: (ChannelMeter | undefined)[] | undefined;
  private origin: number | undefined;
  private last = 0;
  /** What cannot be read, in a sentence; nothing is read after it. */
  problem: string | undefined;

  /** `period`: seconds from one sample to the next, where the table has no times. */
  constructor(period?: number, listen?: CaptureListener) {
    this.period = period;
    this.listen = listen;
  }

  push(text: string): void {
    const lines = (this.rest + text).split("\n");
    this.rest = lines.pop() ?? "";
    if (this.rest.length > LONGEST_LINE) this.problem ??= `line ${this.line + 1}: is longer than a line of a capture`;
    for (const line of lines) if (this.problem === undefined) this.take(line);
  }

  end(): void {
    if (this.rest !== "" && this.problem === undefined) this.take(this.rest);
    this.rest = "";
    if (!this.meters) this.problem ??= "has no line with names of channels";
  }

  get channels(): readonly ChannelReading[] {
    return (this.meters ?? []).flatMap((meter) => meter?.read(this.last) ?? []);
  }

  private take(text: string): void {
    this.line++;
    const line = text.trim();
    if (line === "" || line.startsWith("#") || line.startsWith(";")) return;
    if (!this.meters) return this.takeNames(line);
    const cells = line.split(this.separator);
    if (cells.length < this.meters.length) {
      this.problem = `line ${this.line}: has ${cells.length} columns; ${this.meters.length} were expected`;
      return;
    }
    const time = this.timeColumn < 0 ? this.samples * (this.period ?? 0) : Number(cells[this.timeColumn]) * this.unit;
    this.samples++;
    if (!Number.isFinite(time)) {
      this.problem = `line ${this.line}: ${cells[this.timeColumn] ?? ""} is no time`;
      return;
    }
    this.origin ??= time;
    if (time - this.origin < this.last) {
      this.problem = `line ${this.line}: its time is before that of the line above`;
      return;
    }
    this.last = time - this.origin;
    this.meters.forEach((meter, column) => {
      const cell = cells[column]?.trim();
      if (!meter) return;
      const level = cell === "0" ? 0 : cell === "1" ? 1 : undefined;
      meter.take(this.last, level);
      this.listen?.(meter.name, this.last, level);
    });
  }

  private takeNames(line: string): void {
    this.separator = [",", ";", "\t"].find((one) => line.includes(one)) ?? ",";
    const names = line.split(this.separator).map((name) => name.trim().replace(/^"(.*)"$/, "$1"));
    this.timeColumn = names.findIndex((name) => /^time/i.test(name));
    if (this.timeColumn < 0 && this.period === undefined) {
      this.problem = `line ${this.line}: no column is named time, and no sample period was given`;
      return;
    }
    const [, unit] = /[[(]\s*([a-zµ]+)\s*[\])]/i.exec(names[this.timeColumn] ?? "") ?? [];
    this.unit = UNITS[unit?.toLowerCase() ?? "s"] ?? 1;
    this.meters = names.map((name, column) => (column === this.timeColumn ? undefined : new ChannelMeter(name)));
  }
}
