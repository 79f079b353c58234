import { z } from "zod";
import { jsonSchemaOf, text } from "./shape-words.js";

/**
 * The circuit file as it is written: shorthands, quantities as text. This is the one statement of its structure; the
 * published JSON Schema (`data/circuit.schema.json`) is generated from it.
 */

/** A version of the file's format that this program reads. */
export const FORMAT_VERSION = 1;

export const DEFAULTS = {
  supply: "5 V ± 10 %",
  ambient: "0 to 70 °C",
  build: "breadboard",
  "unstated minimum delays": "quarter of typical",
} as const;

const net = (description: string, ...examples: string[]) =>
  text(`${description} A net's name.`, ...(examples.length > 0 ? examples : ["DOT"]));

const netEdge = text("A net and its edge, `rise` or `fall`.", "SLOT fall", "WR# rise");

export const nets = (description: string) =>
  z
    .union([text("A net or a range of nets.", "PD[0..7]"), z.array(text("A net or a range of nets.", "PD[0..7]"))])
    .meta({
      description,
      examples: ["PD[0..7]", "VA0, VA3"],
    });

const levels = text(
  "What the signal comes from, as far as its levels go: CMOS, TTL, a logic family or a processor; its supply by name or in volts, else the main one. CMOS unless given.",
  "TTL",
  "CMOS on 3V3",
  "CMOS at 3.3 V ± 5 %",
  "74LS",
).optional();

const anyTime = z
  .strictObject({
    "any time": z
      .strictObject({
        high: text("The least time that the signal stays high.", "100 ns"),
        low: text("The least time that it stays low.", "100 ns"),
        repeat: text("The least time from one of its edges to the next of the same direction.", "2.6 us"),
      })
      .meta({ description: "The signal may change at any moment, with these least times." }),
    levels,
  })
  .meta({ description: "A signal that may change at any time." });

const steadyAround = z
  .strictObject({
    "steady around": netEdge,
    before: text("How long before the edge the signal is steady.", "40 ns"),
    after: text("How long after the edge the signal is still steady.", "10 ns"),
    levels,
  })
  .meta({ description: "A signal that is steady around an edge of another net and may change at any other time." });

const after = z
  .strictObject({
    after: netEdge,
    from: text("The earliest change after the edge.", "5 ns"),
    to: text("The latest change after the edge.", "40 ns"),
    levels,
  })
  .meta({ description: "A signal that changes only in a window after an edge of another net." });

const powerUp = z
  .strictObject({
    "power-up only": z
      .enum(["low", "high"])
      .meta({ description: "The level that the signal has from power-up until its release." }),
    "at least": text("The least time from power-up to its release.", "100 ms"),
    levels,
  })
  .meta({ description: "A signal that is active at power-up and released once for good, such as a reset." });

export const inputTiming = z.union([anyTime, steadyAround, after, powerUp]).meta({
  description: "When the signal may change: any time, steady around an edge, after an edge, or power-up only.",
  examples: [{ "power-up only": "low", "at least": "100 ms" }],
});

export const picture = z
  .strictObject({
    size: text("Dots and lines of the picture in memory; how often each repeats follows from the raster.", "320 x 240"),
    hsync: net("The horizontal sync.", "HSYNC"),
    vsync: net(
      "The vertical sync; the same net as the horizontal one where both leave on one, as composite sync.",
      "VSYNC",
    ),
    video: net("The video of a one-bit picture.", "VIDEO").optional(),
    red: nets("Nets of red, the most significant first.").optional(),
    green: nets("Nets of green, the most significant first.").optional(),
    blue: nets("Nets of blue, the most significant first.").optional(),
  })
  .meta({ description: "The nets that the monitor sees: `video`, or `red`, `green` and `blue`." });

export const chip = z
  .strictObject({
    part: text("The full part number.", "74HC163", "62256-70", "OSC-25.175MHz"),
    note: text("What the chip does in the circuit.").optional(),
    pins: z
      .record(
        z.string(),
        nets("The net of the pin; `high` or `low` for a rail; `open` for a pin left open on purpose; one net a pin."),
      )
      .meta({
        description:
          "The net of each pin. A key is a pin by its data-sheet name, several with commas between, or a range: `A[0..14]`.",
        examples: [{ CLK: "DOT", "2D, 2CLK": "low", "Q[A..D]": "VC[0..3]", RCO: "open" }],
      }),
    clock: text(
      "Of a processor: the rate of its clock, and for which share of the period it is high. An oscillator at its clock pin says it too.",
      "2 MHz",
      "4 MHz, 45 to 55 % high",
    ).optional(),
    strobe: net(
      "Of a processor: the write strobe that gates of the board make of its pins. The proof begins there.",
      "WRITE#",
    ).optional(),
    "cycles between writes": z
      .int()
      .min(1)
      .max(10_000)
      .optional()
      .meta({
        description:
          "Of a processor: the least number of clock cycles from one write to the board to the next, as its program has it.",
        examples: [5],
      }),
  })
  .meta({ description: "A chip: its part and the net of every pin. Supply pins are connected without being named." });

export const passive = z
  .strictObject({
    value: text("Resistance or capacitance.", "470 ohm", "100 nF"),
    tolerance: text("How far the value may be off.", "1 %").optional(),
    between: z.array(net("One of the two nets.")).meta({
      description: "The two nets, rails included.",
      examples: [["VIDEO", "VGA_RED"]],
    }),
    note: text("What it is for.").optional(),
  })
  .meta({ description: "A resistor or capacitor. Passives take no part in timing." });

export const measurement = z
  .strictObject({
    chip: text("The builder's name of the chip that was measured.", "U7"),
    from: text(
      "The input pin; its edge behind it where either edge can make the output change so, as at an exclusive or.",
      "CLK",
      "1A fall",
    ),
    to: text("The output pin and its edge, `rise` or `fall`.", "QA rise"),
    delay: text(
      "What was measured, with an uncertainty that covers the instrument and the file's whole supply and ambient.",
      "11.2 ± 0.8 ns",
      "10.4 to 12 ns",
    ),
    note: text("How it was measured.", "two probes, 5.0 V, 22 °C").optional(),
  })
  .meta({
    description: "A delay that the builder measured on one chip of the board. It narrows that chip's limits only.",
  });

export const acceptance = z
  .strictObject({
    verdict: text("The verdict as `prove` names it.", "hold U7 2D"),
    margin: text("The margin down to which the failure is accepted, in the verdict's unit.", "-3 ns", "-0.2 V"),
    reason: text("Why the failure is accepted.", "measured on the bench"),
  })
  .meta({ description: "A failure that the builder accepts. It lapses when the margin gets worse." });

export const metastability = z
  .strictObject({
    tau: text("The time constant with which the output decides.", "1.5 ns"),
    T0: text("The width of the window, as the source calls it: T0 or Tw.", "0.4 s", "8.7 us"),
    "counted from": z.enum(["clock edge", "output"]).optional().meta({
      description:
        "What the source counts the settling time from: the clock's edge, or the end of the delay to the output.",
    }),
    source: text("Where the figures come from.", "application note of the maker, table 2").optional(),
  })
  .meta({ description: "How long a flip-flop may stay undecided when a signal from outside changes at its clock." });

export const circuitFile = z
  .strictObject({
    dotwright: z.literal(FORMAT_VERSION).meta({ description: "Version of this format.", examples: [FORMAT_VERSION] }),
    title: text("What the board is called.", "Tide board"),
    supply: z
      .union([
        text("The supply with its tolerance.", "5 V ± 10 %", "4.5 V to 5.5 V"),
        z.record(z.string(), text("A supply with its tolerance.", "3.3 V ± 5 %")),
      ])
      .default(DEFAULTS.supply)
      .meta({
        description:
          "The supply, or several by name, the main one first. A chip on another than the main one names it at its VCC pin.",
        examples: ["5 V ± 10 %", { main: "5 V ± 10 %", "3V3": "3.3 V ± 5 %" }],
      }),
    ambient: z
      .string()
      .default(DEFAULTS.ambient)
      .meta({ description: "The range of air temperature.", examples: ["0 to 50 °C"] }),
    build: z
      .enum(["breadboard", "perfboard", "printed board"])
      .default(DEFAULTS.build)
      .meta({ description: "How the board is built; sets the limits of a wire's delay." }),
    "unstated minimum delays": z
      .string()
      .default(DEFAULTS["unstated minimum delays"])
      .meta({
        description: "The least delay where no data sheet states one, as a share of the typical delay.",
        examples: ["zero", "quarter of typical", "third of typical", "0.3 of typical"],
      }),
    raster: text("Id of the published raster that the circuit is meant to meet.", "640x480@60"),
    makers: z
      .record(z.string(), text("The maker whose data sheet counts.", "Texas Instruments"))
      .optional()
      .meta({ description: "Makers by part number. Without one, the slowest maximum and fastest minimum count." }),
    "own parts": text(
      "A file of the builder's own parts and figures, its path relative to this file.",
      "drawer.parts.yaml",
    ).optional(),
    picture: picture.optional(),
    inputs: z
      .record(z.string(), inputTiming)
      .optional()
      .meta({ description: "Nets that something outside the circuit drives, and when each may change." }),
    limits: z
      .strictObject({
        contention: text("How long two drivers may be on a net at once; 0 ns by default.", "0 ns").optional(),
        undriven: text("How long a net may go undriven; one slot by default.", "300 ns").optional(),
      })
      .optional()
      .meta({ description: "What the proof allows." }),
    metastability: z
      .record(z.string(), metastability)
      .optional()
      .meta({ description: "Metastability figures by part number, where none are on record." }),
    measured: z
      .array(measurement)
      .optional()
      .meta({ description: "Delays that the builder measured, each of one chip on its board." }),
    accept: z.array(acceptance).optional().meta({ description: "Failures that the builder accepts." }),
    "to come": nets(
      "Nets that are not wired yet. What hangs on them is proved and simulated as far as it goes.",
    ).optional(),
    chips: z.record(z.string(), chip).meta({ description: "Every chip by the builder's name for it." }),
    passives: z
      .record(z.string(), passive)
      .optional()
      .meta({ description: "Resistors and capacitors by the builder's name for them." }),
  })
  .meta({
    title: "Dotwright circuit file",
    description: "A video circuit of standard logic chips: which chips there are and which net each pin is on.",
  });

/** The whole file, of the right shape. */
export type CircuitFile = z.output<typeof circuitFile>;
export type ChipEntry = z.output<typeof chip>;
export type PictureEntry = z.output<typeof picture>;
export type InputEntry = z.output<typeof inputTiming>;
export type PassiveEntry = z.output<typeof passive>;
export type MetastabilityEntry = z.output<typeof metastability>;
export type MeasuredEntry = z.output<typeof measurement>;
export type AcceptanceEntry = z.output<typeof acceptance>;

/** The JSON Schema (draft 2020-12) of the circuit file, as published in `data/circuit.schema.json`. */
export function circuitSchema(): object {
  return jsonSchemaOf(circuitFile);
}
