import type { CaptureListener } from "./captured-edges.js";
import type { DumpDeclarations, DumpListener, DumpSection, DumpVariable } from "../../simulation/dump/dump.js";

/** What one channel of a capture did, all of it. */
export interface ChannelReading {
  readonly name: string;
  /** Rises a second between the first and the last one; 0 with fewer than two. */
  readonly hertz: number;
  readonly rises: number;
  /** Share of the known time for which it is high. */
  readonly duty: number;
  /** Seconds for which its level is known. */
  readonly seconds: number;
  /** Seconds of the shortest stretch between two changes. */
  readonly shortest: number;
}

/** Counts one channel while a capture streams by; holds no more than some numbers. */
export class ChannelMeter {
  readonly name: string;
  private level: 0 | 1 | undefined;
  private since = 0;
  private high = 0;
  private known = 0;
  private rises = 0;
  private firstRise = 0;
  private lastRise = 0;
  private shortest = Infinity;

  constructor(name: string) {
    this.name = name;
  }

  /** A level from this time on, in seconds; undefined where it is not known. Times never fall. */
  take(seconds: number, level: 0 | 1 | undefined): void {
    if (level === this.level) return;
    this.passUntil(seconds);
    if (this.level === 0 && level === 1) {
      if (this.rises === 0) this.firstRise = seconds;
      this.lastRise = seconds;
      this.rises++;
    }
    this.level = level;
  }

  /** What was seen until a time. */
  read(seconds: number): ChannelReading {
    const [level, shortest] = [this.level, this.shortest];
    this.passUntil(seconds);
    this.level = level;
    const span = this.lastRise - this.firstRise;
    return {
      name: this.name,
      hertz: this.rises > 1 && span > 0 ? (this.rises - 1) / span : 0,
      rises: this.rises,
      duty: this.known > 0 ? this.high / this.known : 0,
      seconds: this.known,
      shortest,
    };
  }

  private passUntil(seconds: number): void {
    const passed = seconds - this.since;
    this.since = seconds;
    if (this.level === undefined) return;
    this.known += passed;
    if (this.level === 1) this.high += passed;
    if (passed > 0 && this.rises > 0) this.shortest = Math.min(this.shortest, passed);
  }
}

/** Counts every bit of a value change dump. */
export class DumpMeter implements DumpListener {
  private readonly meters = new Map<DumpVariable, readonly ChannelMeter[]>();
  private unit = 1;
  private origin: number | undefined;
  private last = 0;
  private readonly listen: CaptureListener | undefined;

  constructor(listen?: CaptureListener) {
    this.listen = listen;
  }

  declared({ unitFs, variables }: DumpDeclarations): void {
    this.unit = unitFs * 1e-15;
    for (const variable of variables) {
      const name = variable.names[0]?.name ?? variable.code;
      if (variable.kind !== "bits") continue;
      this.meters.set(
        variable,
        Array.from(
          { length: variable.size },
          (_, bit) => new ChannelMeter(variable.size === 1 ? name : `${name}${bit}`),
        ),
      );
    }
  }

  time(time: number): void {
    this.origin ??= time;
    this.last = (time - this.origin) * this.unit;
  }

  change(_time: number, variable: DumpVariable, bits: string): void {
    this.meters.get(variable)?.forEach((meter, bit) => {
      const letter = bits[bits.length - 1 - bit] ?? "x";
      const level = letter === "0" ? 0 : letter === "1" ? 1 : undefined;
      meter.take(this.last, level);
      this.listen?.(meter.name, this.last, level);
    });
  }

  section(_time: number, section: DumpSection): void {
    if (section !== "$dumpoff") return;
    for (const meter of [...this.meters.values()].flat()) {
      meter.take(this.last, undefined);
      this.listen?.(meter.name, this.last, undefined);
    }
  }

  get channels(): readonly ChannelReading[] {
    return [...this.meters.values()].flat().map((meter) => meter.read(this.last));
  }
}
