import { define } from "./define.js";

const aliases = { OUTPUT: "OUT", CLK: "OUT", VDD: "VCC", VSS: "GND" };

export const oscillatorBehaviours = [
  define({
    function: "oscillator",
    title: "oscillator can",
    outputs: "OUT",
    unconnected: "NC",
    clockSource: { pin: "OUT" },
    aliases,
  }),
  /** OE high, or open by its inner pull-up: runs; low: the output is let go. */
  define({
    function: "oscillator with enable",
    title: "oscillator can with output enable",
    inputs: "OE",
    outputs: "OUT",
    clockSource: { pin: "OUT", enable: "OE" },
    aliases: { ...aliases, "E/D": "OE", EN: "OE" },
  }),
];
