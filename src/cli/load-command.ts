import { basename } from "node:path";
import type { Chip, Circuit } from "../circuit/index.js";
import {
  type Contents,
  type Filled,
  type Format,
  type MappedScreen,
  type MemoryImage,
  type WritePath,
  bestOrder,
  differenceOf,
  dithers,
  driverOf,
  fillScreen,
  filters,
  fits,
  foretellPicture,
  formatOf,
  formats,
  givenCount,
  isRefused,
  isForBlanking,
  landingOf,
  learnWritePath,
  mapScreen,
  memoriesOf,
  numberingOf,
  rateOf,
  readImage,
  renumbered,
  showScreen,
  wordsOf,
  writeC,
  writeImage,
} from "../loading/index.js";
import {
  fillSentences,
  landingSentences,
  numberingSentence,
  screenSentences,
  sequenceSentences,
} from "../paper/loading-text.js";
import { comparePictures, encodePng } from "../raster/index.js";
import { TooMuchOpen } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { readCircuitFile } from "./circuit-file.js";
import { type Answer, defineCommand } from "./command.js";
import { readBytes, writeWhole } from "./files.js";
import { readLayers } from "./load-layers.js";

export const loadCommand = defineCommand({
  name: "load",
  summary: "Fill the memory with pictures and text, and tell how to send them",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    picture: { kind: "text", value: "file", summary: "show this PNG, JPEG or netpbm picture" },
    text: { kind: "text", value: "text", summary: "show this text, over the picture; \\n begins a line" },
    testCard: { kind: "flag", summary: "show a test card" },
    script: { kind: "text", value: "file", summary: "show what this list says: a YAML file, see docs/loading.md" },
    font: { kind: "text", value: "file", summary: "BDF or console font (PSF); one of 5 x 7 dots by default" },
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
    sequence: { kind: "flag", summary: "tell how a byte is sent, and how long all of them take" },
    c: { kind: "text", value: "file", summary: "write C for a microcontroller with plain pins that sends them" },
    inBlanking: { kind: "flag", summary: "let the C wait for vertical blankings" },
  },
  examples: [
    'npx dotwright load examples/tide-board.circuit.yaml --text "HIGH WATER 14:20" --scale 3 --png out/tide.png',
    "npx dotwright load examples/tide-board.circuit.yaml --test-card --out out/card.hex --sequence",
    "npx dotwright load examples/tide-board.circuit.yaml --test-card --c out/card.c --in-blanking",
    "npx dotwright load examples/tide-board.circuit.yaml --script examples/tide-board.loading.yaml --png out/list.png",
  ],
  async run({ arguments: { file }, options, progress }) {
    const { circuit, warnings } = await readCircuitFile(file);
    const { picture } = circuit;
    if (!picture) throw new BadInput(`${file}: The circuit does not say which nets are the picture.`);

    // 1. What is to be shown. What is wrong with it is told before the circuit is looked at, which takes a while.
    const { layers, font } = await readLayers(options, picture);
    if (layers.length === 0 && options.read === undefined && options.romOut === undefined) {
      throw new BadInput("say what to show: --picture, --text, --test-card, --script or --read");
    }
    if (options.inBlanking && options.c === undefined)
      throw new BadInput("--in-blanking is for --c: name a file with it");
    const { rams, roms: romChips } = memoriesOf(circuit);
    const [ram] = rams;
    if (!ram) throw new BadInput(`${file}: The circuit has no memory that can be written.`);
    const readAs = options.read === undefined ? undefined : await imageFile(options.read, ram);
    const changesAs = options.changes === undefined ? undefined : await imageFile(options.changes, ram);
    const roms = options.rom === undefined ? undefined : await romFile(options.rom, romChips[0]);

    const screen = await progress.during("finding which bit is which dot", (tell) =>
      orBadInput(file, () => mapScreen(circuit, tell)),
    );
    if ("problem" in screen) throw new BadInput(`${file}: ${screen.problem}`);
    const way = learnWritePath(screen.machine, screen.raster, ram);
    const path = "problem" in way ? undefined : way;
    const numbering = path && numberingOf(circuit, path);
    const view = options.pins === "processor" ? numbering : undefined;
    const inside = (image: MemoryImage | undefined) => (image && view ? renumbered(image, view, true) : image);
    const before = inside(readAs);
    const filled = await filledOr(file, () =>
      fillScreen(screen, layers, {
        ...(before && { before: new Map([[ram, before.bytes]]) }),
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
    const whole: MemoryImage = {
      bytes: filled.contents.get(ram) ?? new Uint8Array(wordsOf(ram)),
      ...givenOf(filled, ram),
    };
    const old = inside(changesAs);
    const image = old ? differenceOf(whole, old.bytes) : whole;
    const bytes = Array.from(image.bytes, (byte, address) => ({ address, byte })).filter(
      ({ address }) => (image.given?.[address] ?? 1) === 1,
    );
    const order = path && bestOrder(path, bytes);
    const rate = path && order && rateOf(circuit, screen.raster, path, order);
    const wantsWay = options.sequence || options.c !== undefined;
    if (wantsWay && "problem" in way) throw new BadInput(`${file}: ${way.problem}`);
    if (options.inBlanking && options.c === undefined)
      throw new BadInput("--in-blanking is for --c: name a file with it");
    if (options.c !== undefined && path) refuseDriven(circuit, path, file);

    const landing = wantsWay && path ? landingOf(circuit, screen.machine, screen.raster, path) : undefined;
    if (options.c !== undefined && !options.inBlanking && landing && isForBlanking(landing)) {
      throw new BadInput(`--c: ${file} takes bytes in blanking only; add --in-blanking`);
    }
    const romChip = screen.map.roms.find(({ chip }) => filled.contents.has(chip))?.chip;
    if (options.romOut !== undefined && !romChip) {
      throw new BadInput(`--rom-out: ${file} shows no dot out of a ROM that the memory chooses`);
    }
    if (options.inBlanking && rate?.perBlanking === 0) {
      throw new BadInput("--in-blanking: not one byte fits into a blanking");
    }
    if (options.c !== undefined && bytes.length === 0) {
      throw new BadInput("--c: nothing differs, so there is nothing to send");
    }

    // 4. Write all, now that nothing can go wrong any more but with the files.
    const written: string[] = [];
    if (options.out !== undefined) {
      const format = options.format ?? formatOf(options.out) ?? "bin";
      await writeWhole(options.out, writeImage(view ? renumbered(image, view) : image, format, nameOf(options.out)));
      written.push(
        `The memory image, ${givenCount(image).toLocaleString("en")} bytes${formatText(format)}: ${options.out}`,
      );
    }
    if (options.romOut !== undefined && romChip) {
      const contents = filled.contents.get(romChip) ?? new Uint8Array(0);
      await writeWhole(
        options.romOut,
        writeImage({ bytes: contents }, formatOf(options.romOut) ?? "bin", nameOf(options.romOut)),
      );
      written.push(`The character ROM ${romChip.ref}: ${options.romOut}`);
    }
    if (options.png !== undefined && shown.picture) {
      await writeWhole(options.png, encodePng(shown.picture));
      written.push(`What the circuit shows: ${options.png}`);
    }
    if (options.c !== undefined && path && order && rate) {
      const { perBlanking } = rate;
      if (options.inBlanking && perBlanking === 0)
        throw new BadInput("--in-blanking: not one byte fits into a blanking");
      if (order.length === 0) throw new BadInput("--c: nothing differs, so there is nothing to send");
      const title = nameOf(options.c).replaceAll("_", " ");
      await writeWhole(options.c, writeC(circuit, path, order, { title, ...(options.inBlanking && { perBlanking }) }));
      written.push(`The C that sends it: ${options.c}`);
    }
    const orderText = isByAddress(order ?? []) ? "" : ", in the order that takes least";
    const text = [
      ...screenSentences(screen, filled),
      ...(shown.monitor.locked
        ? fillSentences(filled, differing)
        : [`A monitor would not lock: ${shown.monitor.detail}`]),
      ...(options.out === undefined ? [] : [numberingSentence(numbering, view !== undefined)]),
      ...(options.sequence && path && rate ? sequenceSentences(circuit, path, rate, orderText) : []),
      ...(options.sequence && landing ? landingSentences(landing) : []),
      ...written,
    ];
    return {
      exitCode: shown.monitor.locked && filled.unlike === 0 && filled.missing.length === 0 && differing === 0 ? 0 : 1,
      text: text.filter((line) => line !== "").join("\n"),
      json: { ...dataOf(screen, filled, differing, path, rate, written, warnings), ...(landing && { landing }) },
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

/** @throws BadInput where the file is no image that fits the memory */
async function imageFile(path: string, chip: Chip): Promise<MemoryImage> {
  const image = readImage(await readBytes(path), wordsOf(chip), imageFormat(path));
  if (isRefused(image)) throw new BadInput(`${path}: ${image.problem}`);
  return image;
}

/** A C file is told by its name; the other formats by what is in them. */
function imageFormat(path: string): Format | undefined {
  const format = formatOf(path);
  return format === "bin" ? undefined : format;
}

async function romFile(path: string, rom: Chip | undefined): Promise<Contents> {
  if (!rom) throw new BadInput(`--rom ${path}: the circuit has no ROM`);
  const { bytes } = await imageFile(path, rom);
  return new Map([[rom, bytes]]);
}

function givenOf({ needed }: Filled, ram: Chip): { given?: Uint8Array } {
  const given = needed.get(ram);
  return given?.includes(0) ? { given } : {};
}

/** @throws BadInput where a chip of the circuit drives the pins that the C would */
function refuseDriven(circuit: Circuit, path: WritePath, file: string): void {
  const [by] = path.stages.flatMap(({ strobe }) => driverOf(circuit, strobe.net) ?? []);
  if (by)
    throw new BadInput(`${file}: ${by.chip} drives these pins; the C is for a microcontroller outside the circuit`);
}

function isByAddress(bytes: readonly { readonly address: number }[]): boolean {
  return bytes.every(({ address }, index) => index === 0 || address > (bytes[index - 1]?.address ?? -1));
}

function nameOf(path: string): string {
  return basename(path).replace(/\.[^.]*$/, "");
}

function formatText(format: Format): string {
  return { bin: "", hex: " as Intel HEX", srec: " as S-records", c: " as a C array" }[format];
}
