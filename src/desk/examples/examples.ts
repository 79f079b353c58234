import lamps from "../../examples/harbour-lamps.circuit.yaml";
import loader from "../../examples/tide-board-loader.circuit.yaml";
import wideFast from "../../examples/tide-board-wide-fast.circuit.yaml";
import wide from "../../examples/tide-board-wide.circuit.yaml";
import board from "../../examples/tide-board.circuit.yaml";
import type { Draft } from "./draft.js";

/** The bundled circuits, the first of which the desk opens with. */
export const examples: readonly (Draft & { readonly about: string })[] = [
  { name: "tide-board.circuit.yaml", text: board, about: "Tide board: 320 × 240 dots, one RAM, every rule holds" },
  {
    name: "tide-board-wide.circuit.yaml",
    text: wide,
    about: "Tide board, wide: 640 dots a line with slow parts, fails",
  },
  {
    name: "tide-board-wide-fast.circuit.yaml",
    text: wideFast,
    about: "Tide board, wide and fast: the same with fast parts",
  },
  {
    name: "tide-board-loader.circuit.yaml",
    text: loader,
    about: "Tide board with a loader: writes that come too late",
  },
  { name: "harbour-lamps.circuit.yaml", text: lamps, about: "Harbour lamps: a processor, no picture" },
];

/** What a new file starts with. */
export const blank: Draft = {
  name: "new.circuit.yaml",
  text: `dotwright: 1
title: New board
supply: 5 V ± 5 %
ambient: 0 to 50 °C
build: breadboard
raster: 640x480@60

chips:
  X1: { part: OSC-25.175MHz, note: oscillator, pins: { OUT: DOT } }
  U1:
    part: 74HC163
    note: counts dots
    pins:
      CLK: DOT
      CLR#, LOAD#, ENP, ENT: high
      A, B, C, D: low
      QA, QB, QC, QD, RCO: open
`,
};
