import { basename } from "node:path";
import type { Circuit } from "../circuit/index.js";
import {
  type Filled,
  type Format,
  type MappedScreen,
  type WritePath,
  dithers,
  driverOf,
  fillScreen,
  filters,
  fits,
  foretellPicture,
  formatOf,
  formats,
  givenCount,
  isForBlanking,
  landingsOf,
  learnWritePath,
  memoriesOf,
  powerScreen,
  rateOf,
  renumbered,
  showScreen,
  shownMemories,
  writeC,
  writeImage,
} from "../loading/index.js";
import {
  fillSentences,
  landingSentences,
  numberingSentence,
  registerSentences,
  screenSentences,
  sequenceSentences,
  viewData,
  viewSentences,
} from "../paper/loading-text.js";
import { comparePictures, encodePng } from "../raster/index.js";
import { TooMuchOpen } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { readCircuitFile } from "./circuit-file.js";
import { type Answer, defineCommand } from "./command.js";
import { writeWhole } from "./files.js";
import { readLayers } from "./load-layers.js";
import { fileOf, fillingsOf, heldBefore, inside, memoryOf, readImages } from "./load-fillings.js";
import { romFile } from "./load-images.js";
import { checkView, chooseView, sentView } from "./load-view.js";

export const loadCommand = defineCommand({
  name: "load",
  summary: "Fill the memory with pictures and text, and tell how to send them",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    picture: { kind: "text", value: "file", summary: "show this PNG, JPEG or netpbm picture" },
    text: { kind: "text", value: "text", summary: "show this text, over the picture; \\n begins a line" },
    testCard: { kind: "flag", summary: "show a test card" },
    script: { kind: "text", value: "file", summary: "show what this list says: a YAML file, see docs/loading.md" },
    font: {
      kind: "text",
      value: "file",
      summary: "BDF, PCF or console font (PSF), packed or not; one of 5 x 7 dots by default",
    },
    fit: {
      kind: "choice",
      choices: fits,
      default: "fit",
      summary: "show all of the picture, cut it, bend it, or take it dot for dot",
    },
    filter: { kind: "choice", choices: filters, default: "mks2013", summary: "how the picture is scaled" },
    dither: { kind: "choice", choices: dithers, default: "floyd-steinberg", summary: "how levels between are shown" },
    crop: { kind: "text", value: "x,y,w,h", summary: "take this part of the picture" },
    brightness: {
      kind: "number",
      value: "n",
      default: 0,
      least: -255,
      greatest: 255,
      summary: "added to every level of 0 to 255",
    },
    contrast: { kind: "number", value: "n", default: 1, least: 0, greatest: 100, summary: "times what levels differ" },
    negative: { kind: "flag", summary: "light and dark change places in the picture" },
    at: { kind: "text", value: "x,y", summary: "where the text begins, in dots; in characters on a screen of these" },
    align: { kind: "choice", choices: ["left", "centre", "right"], default: "left", summary: "where its lines stand" },
    scale: {
      kind: "number",
      value: "n",
      default: 1,
      least: 1,
      greatest: 64,
      whole: true,
      summary: "each dot of the font as so many",
    },
    inverse: { kind: "flag", summary: "the text dark on light" },
    read: { kind: "text", value: "file", summary: "begin with this memory image; alone, with --png, look at it" },
    out: { kind: "text", value: "file", summary: "write the memory image; its format by its ending, or by --format" },
    format: { kind: "choice", choices: formats, summary: "raw bytes, Intel HEX, Motorola S-records or a C array" },
    changes: { kind: "text", value: "file", summary: "write and send only what differs from this memory image" },
    pins: {
      kind: "choice",
      choices: ["processor", "memory"],
      default: "processor",
      summary: "whose address and data bits count in images, where lines are swapped between the two",
    },
    png: { kind: "text", value: "file", summary: "write what the circuit shows of it, dot for dot" },
    rom: { kind: "text", value: "file", summary: "what the character ROM holds; made of the font by default" },
    romOut: { kind: "text", value: "file", summary: "write the character ROM, with the font's letters" },
    syncRomOut: {
      kind: "text",
      value: "file",
      summary: "write what the ROM must hold that makes syncs and blanking, for the circuit's raster",
    },
    sequence: { kind: "flag", summary: "tell how a byte is sent, and how long all of them take" },
    c: { kind: "text", value: "file", summary: "write C for a microcontroller with plain pins that sends them" },
    inBlanking: { kind: "flag", summary: "let the C wait for vertical blankings" },
    view: {
      kind: "number",
      value: "n",
      least: 0,
      whole: true,
      summary: "what the board's start or page register holds now; 0 by default",
    },
    hidden: { kind: "flag", summary: "fill a page that is out of sight, then show it" },
    scroll: {
      kind: "number",
      value: "rows",
      whole: true,
      summary: "move the picture up by so many rows: only what comes in is written",
    },
    smooth: { kind: "flag", summary: "move it step by step, one step in each frame" },
  },
  examples: [
    'npx dotwright load examples/tide-board.circuit.yaml --text "HIGH WATER 14:20" --scale 3 --png out/tide.png',
    "npx dotwright load examples/tide-board.circuit.yaml --test-card --out out/card.hex --sequence",
    "npx dotwright load examples/tide-board.circuit.yaml --test-card --c out/card.c --in-blanking",
    "npx dotwright load examples/tide-board.circuit.yaml --script examples/tide-board.loading.yaml --png out/list.png",
    'npx dotwright load examples/lap-board.circuit.yaml --scroll 8 --text "Lane 4  1:02.38" --at 8,232 --c out/lap.c',
  ],
  async run({ arguments: { file }, options, progress }) {
    const { circuit, warnings } = await readCircuitFile(file);
    const { picture } = circuit;
    if (!picture) throw new BadInput(`${file}: The circuit does not say which nets are the picture.`);

    // 1. What is to be shown. What is wrong with it is told before the circuit is looked at, which takes a while.
    const { layers, font } = await readLayers(options, picture);
    const { view, hidden, scroll, smooth } = options;
    const isMoved = scroll !== undefined;
    if (
      layers.length === 0 &&
      options.read === undefined &&
      options.romOut === undefined &&
      !isMoved &&
      options.syncRomOut === undefined
    ) {
      throw new BadInput("say what to show: --picture, --text, --test-card, --script or --read");
    }
    checkView({ view, hidden, scroll, smooth }, [options.read, options.changes]);
    if (options.inBlanking && options.c === undefined)
      throw new BadInput("--in-blanking is for --c: name a file with it");
    const { rams, roms: romChips } = memoriesOf(circuit);
    if (rams.length === 0) throw new BadInput(`${file}: The circuit has no memory that can be written.`);
    const readAs = await readImages(options.read, rams);
    const changesAs = await readImages(options.changes, rams);
    const roms = options.rom === undefined ? undefined : await romFile(options.rom, romChips[0]);

    const { ways, chosen } = await progress.during("finding which bit is which dot", (tell) =>
      orBadInput(file, () => {
        const running = powerScreen(circuit);
        if ("problem" in running) throw new BadInput(`${file}: ${running.problem}`);
        const learned = rams.map((ram) => learnWritePath(running.machine, running.raster, ram));
        const writes = learned.find((way) => !("problem" in way)) as WritePath | undefined;
        return { ways: learned, chosen: chooseView(file, running, writes, { view, hidden, scroll, smooth }, tell) };
      }),
    );
    const { next } = chosen;
    const screen = next?.screen ?? chosen.screen;
    const shownRams = shownMemories(screen.map);
    const all = rams.map((ram, index) => memoryOf(circuit, ram, ways[index] ?? NO_WAY, options.pins));
    const memories = all.filter(({ ram }, index) => shownRams.includes(ram) || (index === 0 && shownRams.length === 0));
    const before = inside(readAs, memories);
    const start = heldBefore(before, memories, next);
    const filled = await filledOr(file, () =>
      fillScreen(screen, layers, {
        ...(start && { before: start }),
        ...(roms && { roms }),
        ...(font && { romFont: font }),
      }),
    );

    // 2. What the circuit makes of it.
    const shown = showScreen(screen, filled.contents);
    const foretold = comparePictures(
      foretellPicture(screen.map, filled.contents),
      shown.picture ?? foretellPicture(screen.map, filled.contents),
    );
    const differing = shown.picture && foretold.sameSize ? foretold.count : undefined;

    // 3. What is sent.
    const old = inside(changesAs, memories);
    const known = { ...(start && { start }), ...(old && { old }), ...(next && { next }), isRead: before !== undefined };
    const fillings = fillingsOf(memories, filled, known);
    const [first, ...others] = fillings.flatMap(({ path, order }) => (path ? [{ path, bytes: order }] : []));
    const count = fillings.reduce((sum, { order }) => sum + order.length, 0);
    const rate = first && rateOf(circuit, screen.raster, [first, ...others]);
    const wantsWay = options.sequence || options.c !== undefined;
    const [noWay] = ways.filter((way, index) => "problem" in way && memories.some(({ ram }) => ram === rams[index]));
    if (wantsWay && noWay && "problem" in noWay) throw new BadInput(`${file}: ${noWay.problem}`);
    if (options.c !== undefined && first) refuseDriven(circuit, first.path, file);

    const landing =
      wantsWay && first
        ? landingsOf(
            circuit,
            screen.machine,
            screen.raster,
            [first, ...others].map(({ path }) => path),
          )
        : undefined;
    if (options.c !== undefined && !options.inBlanking && landing && isForBlanking(landing)) {
      throw new BadInput(`--c: ${file} takes bytes in blanking only; add --in-blanking`);
    }
    const romChip = screen.map.roms.find(({ chip }) => filled.contents.has(chip))?.chip;
    if (options.romOut !== undefined && !romChip) {
      throw new BadInput(`--rom-out: ${file} shows no dot out of a ROM that the memory chooses`);
    }
    if (options.syncRomOut !== undefined && !screen.syncRom) {
      throw new BadInput(`--sync-rom-out: the syncs of ${file} hang on no ROM`);
    }
    if (options.inBlanking && rate?.perBlanking === 0) {
      throw new BadInput("--in-blanking: not one byte fits into a blanking");
    }
    if (options.c !== undefined && count === 0) {
      throw new BadInput("--c: nothing differs, so there is nothing to send");
    }

    // 4. Write all, now that nothing can go wrong any more but with the files.
    const written: string[] = [];
    if (options.out !== undefined) {
      const format = options.format ?? formatOf(options.out) ?? "bin";
      for (const { ram, image, outside } of fillings) {
        const path = fileOf(options.out, ram, rams);
        await writeWhole(path, writeImage(outside ? renumbered(image, outside) : image, format, nameOf(path)));
        const of = rams.length > 1 ? ` of ${ram.ref}` : "";
        written.push(
          `The memory image${of}, ${givenCount(image).toLocaleString("en")} bytes${formatText(format)}: ${path}`,
        );
      }
    }
    if (options.romOut !== undefined && romChip) {
      const contents = filled.contents.get(romChip) ?? new Uint8Array(0);
      await writeWhole(
        options.romOut,
        writeImage({ bytes: contents }, formatOf(options.romOut) ?? "bin", nameOf(options.romOut)),
      );
      written.push(`The character ROM ${romChip.ref}: ${options.romOut}`);
    }
    if (options.syncRomOut !== undefined && screen.syncRom) {
      const { chip, contents } = screen.syncRom;
      const format = formatOf(options.syncRomOut) ?? "bin";
      await writeWhole(options.syncRomOut, writeImage({ bytes: contents }, format, nameOf(options.syncRomOut)));
      written.push(`The ROM of the syncs ${chip.ref}: ${options.syncRomOut}`);
    }
    if (options.png !== undefined && shown.picture) {
      await writeWhole(options.png, encodePng(shown.picture));
      written.push(`What the circuit shows: ${options.png}`);
    }
    if (options.c !== undefined && first && rate) {
      const { perBlanking } = rate;
      const title = nameOf(options.c).replaceAll("_", " ");
      const shows = sentView(chosen, view !== undefined);
      // What is on the screen already as it is written is written where nobody sees it.
      const waits = options.inBlanking || (shows?.comes === "before" && perBlanking > 0);
      const settings = { title, ...(waits && { perBlanking }), ...(shows && { view: shows }) };
      const source = writeC(circuit, first.path, first.bytes, { ...settings, others });
      await writeWhole(options.c, source);
      written.push(`The C that sends it: ${options.c}`);
    }
    const orderText = fillings.every(({ order }) => isByAddress(order)) ? "" : ", in the order that takes least";
    const text = [
      ...screenSentences(screen, filled),
      ...(chosen.views ? viewSentences(circuit, chosen.views.way, chosen.from, next, count) : []),
      ...(shown.monitor.locked
        ? fillSentences(filled, differing)
        : [`A monitor would not lock: ${shown.monitor.detail}`]),
      ...(options.out === undefined
        ? []
        : new Set(fillings.map(({ numbering, outside }) => numberingSentence(numbering, outside !== undefined)))),
      ...(options.sequence && first && rate
        ? sequenceSentences(
            circuit,
            [first, ...others].map(({ path }) => path),
            rate,
            orderText,
          )
        : []),
      ...(options.sequence && landing ? landingSentences(landing) : []),
      ...(options.sequence && next ? registerSentences(circuit, next.way) : []),
      ...written,
    ];
    return {
      exitCode: shown.monitor.locked && filled.unlike === 0 && filled.missing.length === 0 && differing === 0 ? 0 : 1,
      text: text.filter((line) => line !== "").join("\n"),
      json: {
        ...dataOf(screen, filled, differing, first?.path, rate, written, warnings),
        ...(landing && { landing }),
        ...(chosen.views && { view: viewData(circuit, chosen.views.way, chosen.from, next) }),
      },
    } satisfies Answer;
  },
});

function dataOf(
  { map, circuit }: MappedScreen,
  filled: Filled,
  differing: number | undefined,
  path: WritePath | undefined,
  rate: ReturnType<typeof rateOf> | undefined,
  written: readonly string[],
  warnings: readonly unknown[],
) {
  const name = (net: number) => circuit.nets[net]?.name ?? "";
  return {
    title: circuit.title,
    width: map.width,
    height: map.height,
    found: map.found,
    colours: filled.values.colours,
    ...(filled.grid && { characters: { columns: filled.grid.columns, rows: filled.grid.rows } }),
    dotsNotAsWanted: filled.unlike,
    dotsNotAsForetold: differing ?? null,
    lettersMissing: filled.missing,
    ...(path && {
      way: {
        memory: path.ram.ref,
        steps: path.stages.map(({ strobe, pulses, held }) => ({
          strobe: name(strobe.net),
          pulses,
          held: Object.fromEntries([...held].map(([net, level]) => [name(net), level])),
        })),
        address: path.address.map((source) => (source.kind === "fixed" ? source.level : name(source.net))),
        data: path.data.map((source) => (source.kind === "fixed" ? source.level : name(source.net))),
      },
    }),
    ...(rate && { transfer: rate }),
    written,
    warnings,
  };
}

/** @throws BadInput where a circuit cannot be run without delays */
function orBadInput<T>(file: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof TooMuchOpen || error instanceof RangeError) {
      throw new BadInput(`${file}: cannot be run without delays: ${error.message}`);
    }
    throw error;
  }
}

async function filledOr(file: string, work: () => Promise<Filled>): Promise<Filled> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput(`${file}: ${error.message}`);
    throw error;
  }
}

/** @throws BadInput where a chip of the circuit drives the pins that the C would */
function refuseDriven(circuit: Circuit, path: WritePath, file: string): void {
  const [by] = path.stages.flatMap(({ strobe }) => driverOf(circuit, strobe.net) ?? []);
  if (by)
    throw new BadInput(`${file}: ${by.chip} drives these pins; the C is for a microcontroller outside the circuit`);
}

const NO_WAY = { problem: "The memory cannot be written." };

function isByAddress(bytes: readonly { readonly address: number }[]): boolean {
  return bytes.every(({ address }, index) => index === 0 || address > (bytes[index - 1]?.address ?? -1));
}

function nameOf(path: string): string {
  return basename(path).replace(/\.[^.]*$/, "");
}

function formatText(format: Format): string {
  return { bin: "", hex: " as Intel HEX", srec: " as S-records", c: " as a C array" }[format];
}
