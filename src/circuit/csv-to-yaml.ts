import { stringify } from "yaml";
import { printVoltRange } from "../quantity/index.js";
import type { Chip } from "./circuit.js";
import { type BoardWiring, type CsvOptions, pinNets, readCsv } from "./csv.js";
import type { Problem } from "./problem.js";
import { DEFAULTS, FORMAT_VERSION } from "./shape.js";

export interface CsvToYaml {
  /** The skeleton of a circuit file; absent where one of the problems is an error. */
  readonly yaml?: string;
  readonly problems: readonly Problem[];
}

/**
 * Makes the skeleton of a circuit file from a wiring list, so that a board that is wired already need not be typed again.
 * What a wiring list cannot say (supply, raster, picture, inputs) stands there with a stand-in and a comment.
 */
export function csvToYaml(text: string, fileName: string, options: CsvOptions = {}): CsvToYaml {
  const { wiring, problems } = readCsv(text, fileName, options);
  return wiring ? { yaml: skeleton(wiring, titleOf(fileName)), problems } : { problems };
}

function skeleton({ chips, nets, supplies }: BoardWiring, title: string): string {
  const [main, ...others] = supplies;
  const further = others.map(({ name, volts }) => `  ${scalar(name)}: ${printVoltRange(volts)}\n`).join("");
  const supply =
    others.length === 0
      ? `supply: ${DEFAULTS.supply}\n`
      : `supply:\n  ${scalar(main.name)}: ${DEFAULTS.supply}\n${further}`;
  const toCome = nets.filter((net) => net.toCome).map(({ name }) => `  - ${scalar(name)}\n`);
  return [
    `dotwright: ${FORMAT_VERSION}\n`,
    `title: ${scalar(title)}\n`,
    "# A wiring list says nothing of the lines down to 'chips': check them.\n",
    supply,
    `ambient: ${DEFAULTS.ambient}\n`,
    `build: ${DEFAULTS.build}\n`,
    `raster: 640x480@60\n`,
    "# picture: {size: 320 x 240, hsync: HSYNC, vsync: VSYNC, video: VIDEO}\n",
    toCome.length === 0
      ? ""
      : `# No chip drives these. Those that come from outside belong under 'inputs', with their timing.\nto come:\n${toCome.join("")}`,
    "chips:\n",
    ...chips.map(chipEntry(supplies[0].name)),
  ].join("");
}

function chipEntry(mainSupply: string): (chip: Chip) => string {
  return (chip) => {
    const pins = pinNets(chip, mainSupply).map(([pin, net]) => `      ${scalar(pin)}: ${scalar(net)}\n`);
    return `  ${scalar(chip.ref)}:\n    part: ${scalar(chip.part.number)}\n    pins:\n${pins.join("")}`;
  };
}

function titleOf(fileName: string): string {
  const base = fileName.replace(/^.*[\\/]/, "").replace(/\.[^.]*$/, "");
  return base.trim() === "" ? "Board" : base.trim();
}

/** Text as YAML on one line, in quotes where it would be read as something else. */
function scalar(text: string): string {
  return stringify(text.replaceAll(/\s+/g, " "), { lineWidth: 0 }).trimEnd();
}
