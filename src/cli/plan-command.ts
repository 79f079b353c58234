import { formatProblem } from "../circuit/index.js";
import {
  SHARING_KINDS,
  type WishTexts,
  type Wishes,
  choosePlans,
  findObstacles,
  readWishFile,
  searchPlans,
  wishesOf,
} from "../planning/index.js";
import { BadInput } from "./bad-input.js";
import { defineCommand } from "./command.js";
import { readText } from "./files.js";
import { writePlan } from "./plan-writing.js";
import { plansData } from "./plan-data.js";
import { obstaclesText, plansText } from "./plan-text.js";

export const planCommand = defineCommand({
  name: "plan",
  summary: "Search rasters, oscillators, memory and sharing for what can be built, and show what nothing else beats",
  arguments: {
    wishes: { summary: "a wish file; options add to it or take its place", optional: true },
  },
  options: {
    rasters: { kind: "list", value: "names", summary: "rasters that the monitor takes: 640x480@60" },
    monitor: { kind: "text", value: "ranges", summary: "rates that it follows: '30-83 kHz, 50-76 Hz'" },
    oscillators: { kind: "list", value: "frequencies", summary: "oscillators in the drawer: '25.175 MHz'" },
    lines: { kind: "number", value: "count", summary: "lines a frame, if not the raster's", least: 1, whole: true },
    picture: { kind: "text", value: "size", summary: "dots of the picture: 320x240" },
    text: { kind: "text", value: "size", summary: "characters of a page: 40x25" },
    character: { kind: "text", value: "size", summary: "dots of a character: 8x16" },
    bits: { kind: "list", value: "counts", summary: "bits a dot: 1, 2, 4, 8" },
    memory: { kind: "list", value: "parts", summary: "static RAMs: 62256-70" },
    families: { kind: "list", value: "names", summary: "logic: HC, fast" },
    sharing: { kind: "list", value: "ways", summary: SHARING_KINDS.join(", ") },
    writeRate: { kind: "text", value: "rate", summary: "bytes a second to be written: '300 kB/s'" },
    longestWait: { kind: "text", value: "time", summary: "longest time until the next write is taken: '4 us'" },
    chips: {
      kind: "number",
      value: "count",
      summary: "chips at most, the oscillator among them",
      least: 0,
      whole: true,
    },
    margin: { kind: "text", value: "time", summary: "least margin: '5 ns'" },
    memoryLeft: { kind: "text", value: "bytes", summary: "what the picture leaves at least: '4 KiB'" },
    deviation: { kind: "text", value: "percent", summary: "how far from the raster's rates: '0.5 %'" },
    composite: { kind: "flag", summary: "composite video at a television's line rate" },
    processor: { kind: "text", value: "part", summary: "the processor: W65C02S" },
    characterRom: { kind: "text", value: "part", summary: "the ROM of a text's characters: 27C256-70" },
    build: { kind: "choice", choices: ["breadboard", "perfboard", "printed board"], summary: "how it is built" },
    supply: { kind: "text", value: "volts", summary: "the supply: '5 V ± 5 %'" },
    ambient: { kind: "text", value: "range", summary: "the air temperature: '0 to 50 °C'" },
    most: { kind: "number", value: "count", summary: "plans shown", default: 10, least: 1, whole: true },
    all: { kind: "flag", summary: "show every plan that nothing else beats" },
    write: {
      kind: "text",
      value: "file",
      summary: "write the circuit of the first plan shown that can be written here",
    },
  },
  examples: [
    "npx dotwright plan --rasters 640x480@60 --picture 320x240 --bits 1 --memory 62256-70",
    "npx dotwright plan --text 80x25 --character 8x16 --oscillators '25.175 MHz' --chips 32",
    "npx dotwright plan examples/harbour-clock.wishes.yaml",
    "npx dotwright plan --rasters 640x480@60 --picture 320x240 --families HC --memory 62256-70 --sharing 'write latch' --write FILE",
  ],
  async run({ arguments: { wishes: file }, options }) {
    const ofFile = file === undefined ? {} : await readWishes(file);
    const { most, all } = options;
    const wishes = wishesFrom(file, { ...ofFile, ...ofOptions(options) });
    const result = searchPlans(wishes);
    if (result.front.length === 0) {
      const obstacles = findObstacles(wishes);
      return { exitCode: 1, text: obstaclesText(result, obstacles, wishes), json: plansData(result, obstacles) };
    }
    const shown = all ? result.front : choosePlans(result.front, most);
    if (options.write !== undefined) return writePlan(options.write, result.front, shown);
    return { exitCode: 0, text: plansText(result, shown), json: plansData(result, []) };
  },
});

async function readWishes(path: string): Promise<WishTexts> {
  const { texts, problems } = readWishFile(await readText(path), path);
  if (texts) return texts;
  throw new BadInput(problems.map((problem) => ({ text: formatProblem(problem), details: { ...problem } })));
}

/** Wishes as the options say them, under the keys of the file. */
interface WishOptions {
  readonly rasters: readonly string[];
  readonly monitor: string | undefined;
  readonly oscillators: readonly string[];
  readonly lines: number | undefined;
  readonly picture: string | undefined;
  readonly text: string | undefined;
  readonly character: string | undefined;
  readonly bits: readonly string[];
  readonly memory: readonly string[];
  readonly families: readonly string[];
  readonly sharing: readonly string[];
  readonly writeRate: string | undefined;
  readonly longestWait: string | undefined;
  readonly chips: number | undefined;
  readonly margin: string | undefined;
  readonly memoryLeft: string | undefined;
  readonly deviation: string | undefined;
  readonly composite: boolean;
  readonly processor: string | undefined;
  readonly characterRom: string | undefined;
  readonly build: WishTexts["build"];
  readonly supply: string | undefined;
  readonly ambient: string | undefined;
}

function ofOptions(options: WishOptions): WishTexts {
  const list = <T>(values: readonly T[]) => (values.length > 0 ? [...values] : undefined);
  const texts = {
    rasters: list(options.rasters),
    monitor: options.monitor,
    oscillators: list(options.oscillators),
    lines: options.lines,
    picture: options.picture,
    text: options.text,
    character: options.character,
    bits: list(options.bits.map(bitsOf)),
    memory: list(options.memory),
    families: list(options.families.map((name) => oneOf("families", name, ["HC", "fast"] as const))),
    sharing: list(options.sharing.map((name) => oneOf("sharing", name, SHARING_KINDS))),
    "write rate": options.writeRate,
    "longest wait": options.longestWait,
    chips: options.chips,
    margin: options.margin,
    "memory left": options.memoryLeft,
    deviation: options.deviation,
    composite: options.composite || undefined,
    processor: options.processor,
    "character ROM": options.characterRom,
    build: options.build,
    supply: options.supply,
    ambient: options.ambient,
  };
  return Object.fromEntries(Object.entries(texts).filter(([, value]) => value !== undefined));
}

function bitsOf(text: string): number {
  if (/^\s*\d{1,2}\s*$/.test(text)) return Number(text);
  throw new BadInput(`dotwright: --bits: '${text}' is no number of bits; expected 1, 2, 4 or 8`);
}

function oneOf<T extends string>(option: string, text: string, known: readonly T[]): T {
  const found = known.find((one) => one.toLowerCase() === text.trim().toLowerCase());
  if (found !== undefined) return found;
  throw new BadInput(`dotwright: --${option}: '${text}' is none of ${known.join(", ")}`);
}

/** @throws BadInput with one line for every wish that cannot be read */
function wishesFrom(file: string | undefined, texts: WishTexts): Wishes {
  const wrong: string[] = [];
  const wishes = wishesOf(texts, (key, misreading) => {
    const option = key.toLowerCase().replaceAll(" ", "-");
    const where = file === undefined ? `--${option}` : `--${option} or ${file}`;
    wrong.push(`dotwright: ${where}: ${misreading.wrong}; expected ${misreading.expected}`);
  });
  if (wrong.length > 0) throw new BadInput(wrong.map((text) => ({ text })));
  return wishes;
}
