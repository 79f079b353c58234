import type { Chip, Circuit } from "../circuit/index.js";
import { adapterNotes } from "./adapters.js";
import { pinNumber, type Terminal } from "./terminal.js";
import { type Link, type LinkBlock, NetPins, outputBlocks } from "./wiring-chain.js";
import { outsideBlocks } from "./wiring-outside.js";
import { heldBlocks, railBlocks } from "./wiring-rails.js";

/** One thing to do and to tick: a wire, or a part whose legs go to two places. */
export interface Step extends Link {
  /** Runs through the whole list, from 1. */
  readonly number: number;
  /** Which step of its net this is, and of how many: 1 of 3. Absent on rails. */
  readonly ofNet?: { readonly index: number; readonly count: number };
}

export interface Block {
  readonly heading: string;
  readonly steps: readonly Step[];
}

export interface Section {
  readonly title: string;
  /** What to do and why, in a sentence or two. */
  readonly guidance: string;
  readonly blocks: readonly Block[];
}

export interface OpenPin {
  readonly chip: string;
  readonly number: number;
  readonly pin: string;
  /** True for an input: left open, it floats. */
  readonly floats: boolean;
}

/** How to wire a circuit, in the order of doing it. */
export interface WiringList {
  readonly title: string;
  /** Parts that do not fit the board as they are, a sentence or two each. */
  readonly adapters: readonly string[];
  readonly sections: readonly Section[];
  readonly wires: number;
  /** Resistors and capacitors placed on the way, those advised included. */
  readonly parts: number;
  readonly open: readonly OpenPin[];
  /** Nets that the file lists as not wired yet, each with the pins that wait for it. */
  readonly toCome: readonly { readonly net: string; readonly pins: readonly Terminal[] }[];
}

/**
 * The wiring list: rails and decoupling, each chip's outputs in file order, inputs held at a level, the outside world,
 * unused inputs. Every net of n pins becomes a chain of n - 1 wires, driver first, then the others in chip order.
 */
export function wiringList(circuit: Circuit): WiringList {
  const pins = new NetPins(circuit);
  const rails = new Set(["high", "low", ...circuit.nets.filter(({ rail }) => rail).map(({ name }) => name)]);
  const sections = numbered(rails, [
    {
      title: "Rails and decoupling",
      guidance:
        "Give every chip or its socket its two rails and its own ceramic capacitor with " +
        "short legs. Measure the rails at every chip, with the supply's current limited, before you go on.",
      blocks: railBlocks(circuit),
    },
    {
      title: "Signals, chip by chip",
      guidance: "One net at a time: from the pin that drives it to the next pin, and on from there.",
      blocks: outputBlocks(circuit, pins),
    },
    {
      title: "Inputs held at a level",
      guidance: "These set what the chips do. They go straight to a rail.",
      blocks: heldBlocks(circuit, "used"),
    },
    {
      title: "Connectors, resistors, capacitors",
      guidance: "What comes from outside, what leaves, and the parts on the way.",
      blocks: outsideBlocks(circuit, pins),
    },
    {
      title: "Unused inputs, tied off",
      guidance: "Nothing depends on their level, but an open input floats, draws current and disturbs its neighbours.",
      blocks: heldBlocks(circuit, "unused"),
    },
  ]);
  const steps = sections.flatMap(({ blocks }) => blocks.flatMap((block) => block.steps));
  return {
    title: circuit.title,
    adapters: adapterNotes(circuit),
    sections,
    wires: steps.filter(({ part }) => part === undefined).length,
    parts: steps.filter(({ part }) => part !== undefined).length,
    open: circuit.chips.flatMap(openPins),
    toCome: circuit.nets.filter(({ toCome }) => toCome).map(({ name }) => ({ net: name, pins: pins.of(name) })),
  };
}

interface Plan {
  readonly title: string;
  readonly guidance: string;
  readonly blocks: readonly LinkBlock[];
}

/** Numbers the links of a plan in their order; blocks and sections without any are left out. */
function numbered(rails: ReadonlySet<string>, plan: readonly Plan[]): Section[] {
  const count = new Map<string, number>();
  for (const { net } of plan.flatMap(({ blocks }) => blocks.flatMap(({ links }) => links))) {
    count.set(net, (count.get(net) ?? 0) + 1);
  }
  const reached = new Map<string, number>();
  let number = 0;
  return plan
    .map(({ title, guidance, blocks }) => ({
      title,
      guidance,
      blocks: blocks
        .filter(({ links }) => links.length > 0)
        .map(({ heading, links }) => ({
          heading,
          steps: links.map((link): Step => {
            number++;
            if (rails.has(link.net)) return { number, ...link };
            const index = (reached.get(link.net) ?? 0) + 1;
            reached.set(link.net, index);
            return { number, ofNet: { index, count: count.get(link.net) ?? index }, ...link };
          }),
        })),
    }))
    .filter(({ blocks }) => blocks.length > 0);
}

function openPins(chip: Chip): OpenPin[] {
  const roles = new Map(chip.part.behaviour.pins.map(({ name, role }) => [name, role]));
  return [...chip.open].map((pin) => ({
    chip: chip.ref,
    number: pinNumber(chip, pin),
    pin,
    floats: roles.get(pin) === "input",
  }));
}
