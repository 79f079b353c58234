import { z } from "zod";
import { jsonSchemaOf, text } from "../shape-words.js";

/**
 * The own parts file as it is written: quantities as text with their units. This is the one statement of its structure; the
 * published JSON Schema (`data/parts.schema.json`) is generated from it.
 */

/** A version of the file's format that this program reads. */
export const PARTS_VERSION = 1;

const pinNames = (description: string, ...examples: string[]) =>
  z
    .union([
      text("Pins with commas between, or a range.", "1D, 2D", "A[0..7]"),
      z.array(text("A pin or a range.", "CLK")),
    ])
    .meta({ description, examples });

const sheet = z
  .strictObject({
    publisher: text("Who published the sheet.", "Fairlead Semiconductor"),
    document: text("Its number, title or date.", "FS10 data sheet, May 1988"),
    table: text("The table or page.", "switching characteristics").optional(),
    title: text("What the sheet is about.").optional(),
    url: text("Where it can be read.").optional(),
  })
  .meta({ description: "The data sheet that the figures were read from." });

const source = z
  .union([z.enum(["measured", "from memory"]).meta({ description: "Figures that no sheet at hand states." }), sheet])
  .meta({
    description: "The data sheet, or `measured`, or `from memory`; every verdict that rests on the figures says so.",
    examples: [{ publisher: "Fairlead Semiconductor", document: "FS10 data sheet, May 1988" }, "measured"],
  });

const time = (description: string, example: string) => text(description, example).optional();

const limits = (of: string) =>
  z
    .strictObject({
      min: time("The least delay.", "4 ns"),
      max: time("The greatest delay.", "28 ns"),
    })
    .optional()
    .meta({ description: `Limits ${of}.`, examples: [{ min: "4 ns", max: "28 ns" }] });

/** The columns of temperature that sheets print, coolest first, as keys of the file and as the catalogue names them. */
export const COLUMNS = [
  { key: "25 C", name: "25", of: "at 25 °C" },
  { key: "0 to 70 C", name: "70", of: "from 0 to 70 °C" },
  { key: "-40 to 85 C", name: "85", of: "from -40 to 85 °C" },
  { key: "-40 to 125 C", name: "125", of: "from -40 to 125 °C" },
] as const;

const changes = ["rise", "fall", "z-to-high", "z-to-low", "high-to-z", "low-to-z", "enable", "disable"] as const;

export const delay = z
  .strictObject({
    from: pinNames("The input pins.", "CLK"),
    to: pinNames("The output pins.", "[1..8]Q"),
    changes: z
      .array(z.enum(changes).meta({ description: "What the output does." }))
      .optional()
      .meta({
        description:
          "What the outputs do; rise and fall unless given. `enable` is `z-to-high` and `z-to-low`, `disable` the reverse.",
        examples: [["rise"], ["enable"]],
      }),
    when: text("The state of the chip for which the figures are printed.", "LOAD# high").optional(),
    load: text("The load of these figures, where it differs from the row's.", "5 pF").optional(),
    "25 C": z
      .strictObject({
        min: time("The least delay.", "4 ns"),
        typ: time("The typical delay.", "12 ns"),
        max: time("The greatest delay.", "22 ns"),
      })
      .optional()
      .meta({ description: "Limits at 25 °C.", examples: [{ typ: "12 ns", max: "22 ns" }] }),
    "0 to 70 C": limits("from 0 to 70 °C"),
    "-40 to 85 C": limits("from -40 to 85 °C"),
    "-40 to 125 C": limits("from -40 to 125 °C"),
  })
  .meta({ description: "Delays from input pins to output pins." });

export const requirement = z
  .strictObject({
    kind: z
      .enum(["set-up", "hold", "width high", "width low", "recovery", "clock frequency"])
      .meta({ description: "What is required; all are least values." }),
    pins: pinNames("The pins of which it is required.", "[1..8]D"),
    reference: pinNames(
      "The clock, enable or strobe whose edge counts; not of widths and clock frequencies.",
      "CLK",
    ).optional(),
    "25 C": text("The time, or the frequency that the part is good for, at 25 °C.", "12 ns", "30 MHz").optional(),
    "0 to 70 C": text("The same from 0 to 70 °C.", "14 ns").optional(),
    "-40 to 85 C": text("The same from -40 to 85 °C.", "15 ns").optional(),
    "-40 to 125 C": text("The same from -40 to 125 °C.", "18 ns").optional(),
  })
  .meta({ description: "A time that the part asks of the signals at its pins." });

const supply = text("The supply, or the range of supplies, for which the figures hold.", "4.5 to 5.5 V");

export const figures = z
  .strictObject({
    part: text("The part number as circuit files write it.", "74ABT244", "HD10371"),
    function: text("The function, where the part number is not 74, family and function.", "244").optional(),
    levels: text("The logic family whose levels, input currents and loads the part has.", "74HCT").optional(),
    source,
    supply,
    load: text("The load for which the delays are printed.", "50 pF").optional(),
    note: text("How it was measured, or what else is to be said of the row.").optional(),
    delays: z.array(delay).optional().meta({ description: "Delays." }),
    requirements: z.array(requirement).optional().meta({ description: "Required times and clock frequencies." }),
  })
  .meta({ description: "A table of a data sheet: figures of one part at one supply and load." });

export const storage = z
  .strictObject({
    clock: text("The bit takes `next` when this becomes true.", "CLK", "!CLK & !INH").optional(),
    open: text("The bit follows `next` while this is true: a latch.", "LE").optional(),
    next: text("What the bit takes over.", "LOAD# ? !qA : A"),
    overrides: z
      .array(
        z
          .strictObject({
            when: text("While this is true,", "!CLR#"),
            value: text("the bit has this value.", "0"),
          })
          .meta({ description: "A clear, preset or asynchronous load." }),
      )
      .optional()
      .meta({ description: "What takes the bit over whatever its clock does, the strongest first." }),
  })
  .meta({ description: "A storage bit: a register has a `clock`, a latch has `open`." });

export const memoryArray = z
  .strictObject({
    address: pinNames("The address pins, the least first.", "A[0..9]"),
    data: pinNames("The data pins, the least first; in-outs of a memory that is written.", "IO[0..3]"),
    read: text("The data pins drive while this is true.", "!CS# & WE#"),
    write: text(
      "The cell takes the data while this is true; absent where the circuit only reads.",
      "!CS# & !WE#",
    ).optional(),
  })
  .meta({ description: "The words that it holds. Its figures stand under `memories`, its number as `organisation`." });

const drive = z.union([
  text("The value of the output, which always drives.", "A & B"),
  z
    .strictObject({
      value: text("The value of the output.", "q1"),
      enable: text("The output drives while this is true.", "!OE#"),
    })
    .meta({ description: "An output that can let go of its net." }),
]);

export const functionEntry = z
  .strictObject({
    title: text("What it is.", "8-input NOR and OR gate"),
    inputs: pinNames("The input pins.", "A, B, C, D").optional(),
    outputs: pinNames("The output pins.", "Y").optional(),
    "in-outs": pinNames("Pins that both drive and receive.", "IO[0..7]").optional(),
    unconnected: pinNames("Pins without a connection inside, as the package names them.", "NC").optional(),
    storage: z
      .record(z.string(), storage)
      .optional()
      .meta({ description: "Storage bits by name; names begin with a small letter." }),
    memory: memoryArray.optional(),
    drives: z.record(z.string(), drive).optional().meta({
      description:
        "What each output shows, as an expression of input pins and storage bits: ! not, & and, ^ exclusive or, | or, a ? b : c.",
    }),
    package: z
      .strictObject({
        name: text("The package and its number of pins.", "DIP-14"),
        source,
        pins: z
          .record(z.string(), text("The pin's name; VCC and GND for the supply pins.", "VCC"))
          .meta({ description: "The name of each pin by its number." }),
      })
      .meta({ description: "The package: where the pins are." }),
  })
  .meta({ description: "A function: its pins, what it stores, what it drives, and its package." });

const symbols = {
  tRC: "read cycle",
  tAA: "address to data",
  tACE: "select to data",
  tOE: "output enable to data",
  tOH: "data held after the address",
  tLZCE: "select to driving, least",
  tHZCE: "select to letting go, greatest",
  tLZOE: "output enable to driving, least",
  tHZOE: "output enable to letting go, greatest",
  tWC: "write cycle",
  tAW: "address to end of write",
  tCW: "select to end of write",
  tAS: "address before the write",
  tWP: "write pulse",
  tDW: "data before the end of write",
  tDH: "data held after the end of write",
  tWR: "address held after the end of write",
  tOW: "end of write to driving, least",
  tWHZ: "write to letting go, greatest",
} as const;

const timeOf = (meaning: string) => text(`${meaning}.`, "45 ns").optional();
type TimeTexts = { readonly [K in keyof typeof symbols]: ReturnType<typeof timeOf> };

export const memory = z
  .strictObject({
    part: text("The part number with its grade, as circuit files write it.", "FM256-45"),
    organisation: text("The organisation and kind, or the number of a function with `memory`.", "32Kx8", "32Kx8 EPROM"),
    grade: text("The access time that the part is sold by.", "45 ns"),
    levels: text("The memory on record whose levels, input currents and loads the part has.", "62256-70").optional(),
    source,
    supply,
    ambient: text("The ambient for which the times hold; 0 to 70 °C unless given.", "0 to 70 °C").optional(),
    package: text("The package, where it is not the usual DIP.", "SOJ-28").optional(),
    note: text("How it was measured, or what else is to be said of the row.").optional(),
    times: z
      .strictObject(
        Object.fromEntries(Object.entries(symbols).map(([symbol, meaning]) => [symbol, timeOf(meaning)])) as TimeTexts,
      )
      .meta({ description: "Its times by the symbols of data sheets.", examples: [{ tAA: "45 ns", tWP: "30 ns" }] }),
  })
  .meta({ description: "One grade of a memory." });

export const ownPartsFile = z
  .strictObject({
    "dotwright parts": z
      .literal(PARTS_VERSION)
      .meta({ description: "Version of this format.", examples: [PARTS_VERSION] }),
    title: text("What the file holds.", "What lay in the drawer").optional(),
    functions: z
      .record(z.string(), functionEntry)
      .optional()
      .meta({ description: "Functions by their number in the trade. One on record is replaced." }),
    figures: z
      .array(figures)
      .optional()
      .meta({ description: "Figures of logic parts. They count before those on record." }),
    memories: z.array(memory).optional().meta({ description: "Memories by their grade." }),
  })
  .meta({
    title: "Dotwright own parts file",
    description: "Parts and figures that a builder adds to the catalogue, or puts in the place of what stands there.",
  });

export type FiguresEntry = z.output<typeof figures>;
export type DelayEntry = z.output<typeof delay>;
export type RequirementEntry = z.output<typeof requirement>;
export type FunctionEntry = z.output<typeof functionEntry>;
export type StorageEntry = z.output<typeof storage>;
export type MemoryEntry = z.output<typeof memory>;
export type SourceEntry = z.output<typeof source>;

/** The JSON Schema (draft 2020-12) of the own parts file, as published in `data/parts.schema.json`. */
export function ownPartsSchema(): object {
  return jsonSchemaOf(ownPartsFile);
}
