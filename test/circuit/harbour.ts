import { type Circuit, type Net, type Problem, formatProblem, readCircuit } from "../../src/circuit/index.js";
import { findRaster } from "../../src/raster/index.js";

/** A small circuit file without mistakes: the lamp of a harbour entrance. Tests add to it or change a line. */
export const lamp = `dotwright: 1
title: Lamp of the harbour entrance
raster: 640x480@60
picture: {size: 320 x 240, hsync: HS, vsync: VS, video: LAMP}
chips:
  X1: {part: OSC-25.175MHz, pins: {OUT: DOT}}
  U1:
    part: 74HC04
    pins:
      1A, 2A, 3A: DOT
      1Y: HS
      2Y: VS
      3Y: LAMP
      4A, 5A, 6A: low
      4Y, 5Y, 6Y: open
`;

/** The file with one text replaced; throws where the text is not in it, so that no test changes nothing. */
export function lampWith(from: string, to: string): string {
  if (!lamp.includes(from)) throw new Error(`not in the file: ${from}`);
  return lamp.replace(from, () => to);
}

export function read(text: string) {
  return readCircuit(text, "lamp.yaml", { findRaster });
}

/** The circuit of a file that must have no errors. */
export function circuitOf(text: string): Circuit {
  const { circuit, problems } = read(text);
  if (!circuit) throw new Error(lines(problems).join("\n"));
  return circuit;
}

export function lines(problems: readonly Problem[]): readonly string[] {
  return problems.map(formatProblem);
}

export function netOf({ nets }: Circuit, name: string): Net {
  const net = nets.find((candidate) => candidate.name === name);
  if (!net) throw new Error(`no net ${name}`);
  return net;
}

/** Pins as `U1 1A`. */
export function pinsOf(pins: Net["drivers"]): readonly string[] {
  return pins.map(({ chip, pin }) => `${chip.ref} ${pin}`);
}
