import { fs } from "../quantity/index.js";
import {
  type MonitorSettings,
  type MonitorSignal,
  type Raster,
  countFrames,
  encodePng,
  findRaster,
  watch,
} from "../raster/index.js";
import { DumpReader, DumpRecording, type DumpRemark, type SeenSignal, signalOfTapes } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { defineCommand } from "./command.js";
import { Film } from "./film.js";
import { readInPieces, writeWhole } from "./files.js";
import { readMonitorRange } from "./monitor-range.js";
import { screenData } from "./screen-data.js";
import { findingSentences, lockSentence, standardSentences, unknownSentences } from "./screen-text.js";

export const screenCommand = defineCommand({
  name: "screen",
  summary: "Show what a monitor makes of a recording of its nets",
  arguments: { file: { summary: "a value change dump (IEEE 1364), as from a simulation or an instrument" } },
  options: {
    hsync: { kind: "text", value: "net", default: "HSYNC", summary: "the net of horizontal sync" },
    vsync: { kind: "text", value: "net", default: "VSYNC", summary: "of vertical sync; the same for composite sync" },
    video: { kind: "text", value: "net", summary: "of one-bit video; VIDEO where no colours are given" },
    red: { kind: "list", value: "nets", summary: "of red, the most significant first" },
    green: { kind: "list", value: "nets", summary: "of green" },
    blue: { kind: "list", value: "nets", summary: "of blue" },
    raster: {
      kind: "text",
      value: "name",
      summary: "what it is meant to be, such as 640x480@60; the nearest by default",
    },
    size: { kind: "text", value: "dots", summary: "dots of the picture in memory, such as 320x240" },
    monitor: {
      kind: "text",
      value: "rates",
      summary: "what your monitor follows, as in '30-83 kHz, 50-76 Hz'; any rates by default",
    },
    picture: { kind: "text", value: "file", summary: "write the last frame as a PNG, one dot a dot of the raster" },
    pictures: { kind: "text", value: "folder", summary: "write every frame as a PNG of its own" },
    animation: { kind: "text", value: "file", summary: "write all frames as one animated PNG, at their own speed" },
  },
  examples: [
    "npx dotwright screen out/frames.vcd --red RED --green GREEN --blue BLUE --raster 640x480@60 --size 320x240 --picture out/seen.png",
    "npx dotwright screen capture.vcd --hsync D0 --vsync D1 --video D2 --monitor '30-83 kHz, 50-76 Hz'",
  ],
  async run({ arguments: { file }, options, progress }) {
    const raster = options.raster === undefined ? undefined : readRaster(options.raster);
    if (options.size !== undefined && !raster) throw new BadInput("--size needs --raster, of which it is a part");
    const settings: MonitorSettings = {
      ...(raster && { raster }),
      ...(options.monitor !== undefined && { range: readMonitorRange(options.monitor) }),
      ...(raster && options.size !== undefined && { pixel: raster.h.active / readWidth(options.size) }),
    };
    const nets = videoNets(options);
    const { hsync, vsync } = options;
    const names = [hsync, vsync, ...(nets.kind === "mono" ? [nets.net] : [...nets.red, ...nets.green, ...nets.blue])];
    const { recording, notes } = await progress.during("reading", (tell) => record(file, names, tell));

    const tape = (name: string) => {
      const found = recording.tapes.get(name);
      if (!found) throw new RangeError(`${name} was not recorded`);
      return found;
    };
    const { signal, unknownSyncFs, unknownVideoFs }: SeenSignal = signalOfTapes(
      {
        hsync: tape(hsync),
        vsync: tape(vsync),
        video: names.slice(2).map(tape),
        until: fs(recording.untilFs),
      },
      nets.kind === "mono"
        ? { kind: "mono" }
        : { kind: "colour", red: nets.red.length, green: nets.green.length, blue: nets.blue.length },
    );
    const monitor = watch(signal, settings);
    const seen = { monitor, ...(raster && { raster }) };
    const shown = monitor.locked ? monitor.picture : monitor.unheld?.picture;
    if (options.picture !== undefined && shown) await writeWhole(options.picture, encodePng(shown));
    const film = await filmOf(signal, settings, options);
    const text = [
      lockSentence(seen, ""),
      ...(monitor.locked ? standardSentences(monitor) : []),
      ...findingSentences(seen),
      ...unknownSentences(unknownSyncFs, unknownVideoFs),
      ...remarks(file, notes, recording),
      ...(options.picture !== undefined && shown
        ? [`The picture${monitor.locked ? "" : " on a picture tube"}: ${options.picture}`]
        : []),
      ...(film?.text ?? []),
    ];
    const isInOrder = monitor.locked && monitor.against.meets && unknownSyncFs === 0;
    return {
      exitCode: isInOrder ? 0 : 1,
      text: text.join("\n"),
      json: {
        inOrder: isInOrder,
        ...screenData(seen),
        recordedMs: recording.untilFs / 1e12,
        isCut: recording.isCut,
        notes,
        ...(options.picture !== undefined && shown && { picturePath: options.picture }),
        ...film?.data,
      },
    };
  },
});

function readRaster(name: string): Raster {
  const found = findRaster(name);
  if (found.found) return found.raster;
  const near = found.nearest.length > 0 ? `; did you mean ${found.nearest.join(" or ")}?` : "";
  throw new BadInput(`--raster ${name}: there is no such published raster${near}`);
}

function readWidth(size: string): number {
  const [, width = "0"] = /^\s*(\d{1,4})\s*[x×]\s*\d{1,4}\s*$/i.exec(size) ?? [];
  if (Number(width) > 0) return Number(width);
  throw new BadInput(`--size ${size}: dots and lines were expected, such as 320x240`);
}

interface VideoOptions {
  readonly video: string | undefined;
  readonly red: readonly string[];
  readonly green: readonly string[];
  readonly blue: readonly string[];
}

function videoNets({ video, red, green, blue }: VideoOptions) {
  const isColour = red.length + green.length + blue.length > 0;
  if (isColour && video !== undefined) throw new BadInput("--video and colours cannot go together; give one of them");
  return isColour ? { kind: "colour" as const, red, green, blue } : { kind: "mono" as const, net: video ?? "VIDEO" };
}

async function record(file: string, names: readonly string[], tell: (done: number, total: number) => void) {
  const recording = new DumpRecording(names);
  const reader = new DumpReader(recording);
  await readInPieces(file, (text, share) => {
    reader.push(text);
    tell(share, 1);
    return !reader.problem && recording.problems.length === 0;
  });
  const isMissing = recording.problems.length > 0;
  if (isMissing) throw new BadInput(recording.problems.map((what) => ({ text: `${file}: ${what}` })));
  const problem = reader.end();
  if (problem) throw new BadInput([{ text: remark(file, problem), details: { ...problem } }]);
  return { recording, notes: reader.notes };
}

function remark(file: string, { line, column, what }: DumpRemark): string {
  return `${file}:${line}:${column}: ${what}`;
}

function remarks(file: string, notes: readonly DumpRemark[], { isCut }: DumpRecording): readonly string[] {
  const cut = isCut ? ["Only the first nine seconds of the recording were looked at."] : [];
  return [...notes.map((one) => remark(file, one)), ...cut];
}

async function filmOf(
  signal: MonitorSignal,
  settings: MonitorSettings,
  { pictures, animation }: { readonly pictures: string | undefined; readonly animation: string | undefined },
) {
  if (pictures === undefined && animation === undefined) return undefined;
  const last = watch(signal, settings);
  const frames = last.locked ? countFrames(last.lock, last.against.raster) : 0;
  const film = new Film({ pictures, animation, frames });
  const displacement = last.locked ? last.displacement : undefined;
  for (let frame = 0; frame < frames; frame++) {
    film.add(watch(signal, { ...settings, frame, ...(displacement && { displacement }) }), frame);
  }
  return film.write();
}
