import board from "../../../examples/tide-board.circuit.yaml";
import type { Draft } from "../draft.js";
import { loadScript } from "../on-demand.js";

/** The bundled circuits, the first of which the desk opens with. */
export const exampleList = [
  { name: "tide-board.circuit.yaml", about: "Tide board: 320 × 240 dots, one RAM, every rule holds" },
  { name: "tide-board-wide.circuit.yaml", about: "Tide board, wide: 640 dots a line with slow parts, fails" },
  { name: "tide-board-wide-fast.circuit.yaml", about: "Tide board, wide and fast: the same with fast parts" },
  { name: "tide-board-loader.circuit.yaml", about: "Tide board with a loader: writes that come too late" },
  { name: "harbour-lamps.circuit.yaml", about: "Harbour lamps: a processor, no picture" },
] as const;

export const firstExample: Draft = { name: exampleList[0].name, text: board };

/** What the script of the other examples leaves for the desk. */
export interface ExamplesScript {
  readonly dotwrightExamples?: Readonly<Record<string, string>>;
}

/** An example by its name; all but the first are in a script of their own. */
export async function exampleNamed(name: string): Promise<Draft> {
  if (name === firstExample.name) return firstExample;
  await loadScript("examples.js");
  return { name, text: (globalThis as ExamplesScript).dotwrightExamples?.[name] ?? "" };
}

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
