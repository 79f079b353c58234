import { type Circuit, ownPartsNamed, readCircuit } from "../../circuit/index.js";
import {
  type ColourImage,
  type Dither,
  type Filled,
  type Fit,
  type Layer,
  type MappedScreen,
  type SentByte,
  type WritePath,
  PlayedTransfer,
  bestOrder,
  dithers,
  fillScreen,
  fits,
  isRefused,
  learnWritePath,
  mapScreen,
  memoriesOf,
  ownFont,
  rateOf,
  readFont,
  wordsOf,
  writeC,
  writeImage,
} from "../../loading/index.js";
import { readNetpbm } from "../../loading/picture/netpbm.js";
import { fillSentences, screenSentences, sequenceSentences } from "../../paper/loading-text.js";
import { fieldRate, fieldsPerFrame, findRaster, inHertz } from "../../raster/index.js";
import { BeamScreen, TooMuchOpen, ownPicture, shapeOf } from "../../simulation/index.js";
import { toRgba } from "../live/colours.js";
import type { DeskFile } from "../protocol.js";
import type { FileKind, FillAsk, FillTold, Wanted } from "./protocol.js";
import { unpacked } from "./unpack.js";

/** The circuit that runs, and what it was filled with last. */
interface Running {
  readonly circuit: Circuit;
  readonly screen: MappedScreen;
  readonly beam: BeamScreen;
  readonly path: WritePath | undefined;
  filled?: Filled;
  bytes: readonly SentByte[];
}

let running: Running | undefined;
/** Counts transfers: one that another takes the place of ends. */
let transfers = 0;

function tell(told: FillTold, transfer: Transferable[] = []): void {
  self.postMessage(told, { transfer });
}

self.addEventListener("message", ({ data }: MessageEvent<FillAsk>) => {
  void answer(data).catch((error: unknown) => {
    tell({ kind: "cannot", problem: error instanceof Error ? error.message : String(error) });
  });
});

async function answer(ask: FillAsk): Promise<void> {
  if (ask.kind === "begin") begin(ask.file);
  else if (ask.kind === "fill") await fill(ask.wanted, ask.slowness);
  else if (running) takeAway(running, ask.of, ask.name);
}

function begin(file: DeskFile): void {
  const ownParts = file.ownParts ?? (ownPartsNamed(file.text) === undefined ? undefined : { file: "", unreadable: "" });
  const { circuit } = readCircuit(file.text, file.name, { findRaster, ...(ownParts && { ownParts }) });
  if (!circuit?.picture) return;
  try {
    const screen = mapScreen(circuit, (done, total) => tell({ kind: "progress", share: done / total }));
    if ("problem" in screen) {
      tell({ kind: "cannot", problem: screen.problem });
      return;
    }
    const { machine, raster, map } = screen;
    const way = learnWritePath(machine, raster, memoriesOf(circuit).rams[0]);
    const path = "problem" in way ? undefined : way;
    const beam = new BeamScreen(machine, circuit.picture, { raster, pixel: raster.h.active / map.width });
    running = { circuit, screen, beam, path, bytes: [] };
    tell({
      kind: "ready",
      width: map.width,
      height: map.height,
      shape: shapeOf(map, raster),
      sentences: [],
      hasRom: map.nets.some(({ lines }) => lines.length > 0),
      ...("problem" in way && { noWay: way.problem }),
      fits,
      dithers,
    });
    beam.runFrame();
    show(running, 0, 0, 0);
  } catch (error) {
    if (!(error instanceof TooMuchOpen || error instanceof RangeError)) throw error;
    tell({ kind: "cannot", problem: `Without delays this cannot be run: ${error.message}.` });
  }
}

async function fill(wanted: Wanted, slowness: number): Promise<void> {
  const current = running;
  if (!current) return;
  const { circuit, screen, path } = current;
  const packed = wanted.font && (await unpacked(wanted.font));
  const font = packed === undefined ? ownFont() : "problem" in packed ? packed : readFont(packed);
  if (isRefused(font)) {
    tell({ kind: "cannot", problem: `The font ${font.problem}.` });
    return;
  }
  const layers: Layer[] = [{ kind: "fill", colour: 0 }];
  if (wanted.testCard) layers.push({ kind: "test card" });
  if (wanted.picture) layers.push(await pictureLayer(wanted.picture, wanted));
  if (wanted.text !== "") {
    const { text, align, scale, inverse } = wanted;
    layers.push({ kind: "text", text, font, align, scale, leading: 0, inverse });
  }
  const filled = await fillScreen(screen, layers, { romFont: font });
  const ram = path?.ram ?? screen.map.rams[0]?.chip;
  if (!ram) return;
  const contents = filled.contents.get(ram) ?? new Uint8Array(wordsOf(ram));
  const needed = filled.needed.get(ram);
  const all = Array.from(contents, (byte, address) => ({ address, byte })).filter(
    ({ address }) => needed?.[address] === 1,
  );
  const bytes = path ? bestOrder(path, all) : all;
  current.filled = filled;
  current.bytes = bytes;
  const rate = path && rateOf(circuit, screen.raster, [{ path, bytes }]);
  tell({
    kind: "filled",
    sentences: [...screenSentences(screen, filled), ...fillSentences(filled, undefined)],
    sequence: path && rate ? sequenceSentences(circuit, [path], rate, "") : [],
  });
  // ROMs are made beforehand; of several RAMs only one is filled while the circuit runs.
  for (const [chip, held] of filled.contents) if (chip !== ram) screen.machine.load(chip, held);
  if (!path || !rate) {
    screen.machine.load(ram, contents);
    current.beam.runFrame();
    show(current, bytes.length, bytes.length, 0);
    return;
  }
  send(current, path, bytes, slowness === 1 ? 0 : slowness * rate.byteFs);
}

async function pictureLayer(file: Blob, { fit, dither, negative }: Wanted): Promise<Layer> {
  const tone = { dither: dither as Dither, negative };
  return { kind: "picture", image: await decode(file), fit: fit as Fit, filter: "mks2013", tone };
}

/** The browser reads what it can; netpbm is none of it. */
async function decode(file: Blob): Promise<ColourImage> {
  try {
    const bitmap = await createImageBitmap(file);
    const { width, height } = bitmap;
    const context = new OffscreenCanvas(width, height).getContext("2d");
    if (!context) throw new Error("This browser cannot draw.");
    context.drawImage(bitmap, 0, 0);
    return { width, height, data: new Uint8Array(context.getImageData(0, 0, width, height).data.buffer) };
  } catch (error) {
    const image = readNetpbm(new Uint8Array(await file.arrayBuffer()));
    if (!isRefused(image)) return image;
    throw new Error("That is no picture that this browser can read: PNG, JPEG, GIF and netpbm are.", { cause: error });
  }
}

/** Sends bytes frame after frame of the circuit's time, and shows each frame. */
function send(current: Running, path: WritePath, bytes: readonly SentByte[], everyFs: number): void {
  const { machine, raster } = current.screen;
  const frameFs = (fieldsPerFrame(raster) * 1e15) / inHertz(fieldRate(raster));
  // Whoever sent before may have left its lines at other levels.
  for (const [net, level] of path.rest) machine.drive(net, machine.now + 1, level);
  machine.run(machine.now + 2);
  const transfer = new PlayedTransfer(machine, path, bytes, everyFs);
  const begin = machine.now;
  const mine = ++transfers;
  let after = 2;
  let due = performance.now();
  const goOn = () => {
    if (mine !== transfers || current !== running) return;
    transfer.driveUpTo(machine.now + 1.5 * frameFs);
    current.beam.runFrame();
    const sent = transfer.sentBy(machine.now);
    show(current, sent, bytes.length, (Math.min(machine.now, transfer.until) - begin) / 1e12);
    if (transfer.isDone && machine.now >= transfer.until && after-- === 0) return;
    // As fast as the circuit goes, or as fast as this computer can.
    due = Math.max(performance.now(), due + frameFs / 1e12);
    setTimeout(goOn, due - performance.now());
  };
  goOn();
}

function show({ beam, screen, circuit }: Running, sent: number, total: number, milliseconds: number): void {
  const seen = beam.lookAnew();
  if (!seen.locked || !circuit.picture) {
    tell({ kind: "cannot", problem: `A monitor would not lock: ${seen.locked ? "" : seen.detail}` });
    return;
  }
  const { raster, map } = screen;
  const own = ownPicture({ ...seen, displacement: map.displacement }, raster, beam.record, map);
  if (!own) return;
  const rgba = toRgba(own.picture);
  tell({ kind: "shown", rgba, sent, total, milliseconds }, [rgba.buffer]);
}

function takeAway({ circuit, screen, path, filled, bytes }: Running, of: FileKind, name: string): void {
  const ram = path?.ram ?? screen.map.rams[0]?.chip;
  const contents = ram && filled?.contents.get(ram);
  if (!filled || !contents) return;
  const give = (ending: string, content: string | Uint8Array) => {
    const copy = typeof content === "string" ? content : new Uint8Array(content);
    tell({ kind: "file", name: `${name}.${ending}`, content: copy });
  };
  if (of === "sender") {
    if (path) give("send.c", writeC(circuit, path, bytes, { title: name }));
    return;
  }
  if (of === "rom") {
    const rom = screen.map.roms.map(({ chip }) => filled.contents.get(chip)).find((one) => one !== undefined);
    if (rom) give("rom.bin", rom);
    return;
  }
  const given = filled.needed.get(ram);
  give(of, writeImage({ bytes: contents, ...(given?.includes(0) && { given }) }, of, name));
}
