import { formatProblem } from "../circuit/index.js";
import { catalogueLines, catalogueText, nearPartsText, partPage, partPageHtml, partPageText } from "../paper/index.js";
import {
  type Conditions,
  DEFAULT_UNSTATED_MINIMUM,
  describeConditions,
  findPart,
  findPartWith,
  isPartProblem,
  listPartNumbers,
  madeBy,
  nearParts,
  ownNumbers,
  searchCatalogue,
} from "../parts/index.js";
import { type Reading, isMisread, parseCelsiusRange, parseTime, parseVoltRange } from "../quantity/index.js";
import { BadInput } from "./bad-input.js";
import { readOwnPartsFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";
import { writeWhole } from "./files.js";
import { version } from "./version-command.js";

export const partsCommand = defineCommand({
  name: "parts",
  summary: "List, search and explain the parts on record",
  arguments: {
    part: { summary: "a part number for its page, or words to search for (in quotes)", optional: true },
  },
  options: {
    function: { kind: "text", value: "number", summary: "only this function: 163, 32Kx8" },
    family: { kind: "list", value: "names", summary: "only these families: HC,HCT,SRAM" },
    delay: { kind: "text", value: "time", summary: "only parts whose largest delay or access time is at most this" },
    pins: { kind: "number", value: "count", summary: "only packages with this many pins", least: 1, whole: true },
    package: { kind: "text", value: "name", summary: "only parts made in such a package: DIP, SO, SOJ" },
    supply: { kind: "text", value: "volts", summary: "the supply for which figures hold", default: "5 V ± 10 %" },
    ambient: {
      kind: "text",
      value: "range",
      summary: "the air temperature for which they hold",
      default: "0 to 70 °C",
    },
    maker: { kind: "text", value: "name", summary: "only this maker's data sheets" },
    own: {
      kind: "text",
      value: "file",
      summary: "check your own parts file; a part named is looked for in it first, else its parts are listed",
    },
    html: { kind: "text", value: "file", summary: "write the page of a part as HTML, to look at or to print" },
  },
  examples: [
    "npx dotwright parts 74AHC574",
    'npx dotwright parts "shift register" --delay "20 ns" --package DIP',
    "npx dotwright parts --function 163",
    "npx dotwright parts 62256-70 --maker Hitachi",
    "npx dotwright parts Z84C00 --html out/z84c00.html",
    "npx dotwright parts 74HC4078 --own examples/drawer.parts.yaml",
  ],
  async run({ arguments: { part: asked }, options }) {
    const { html, maker, supply, ambient, delay, pins, family } = options;
    const own = options.own === undefined ? undefined : await readOwnPartsFile(options.own);
    const find = own ? findPartWith(own.parts) : findPart;
    const doubts = (own?.warnings ?? []).map((warning) => `${formatProblem(warning)}\n`).join("");
    const conditions: Conditions = {
      supplyVolts: read("supply", supply, parseVoltRange),
      ambientCelsius: read("ambient", ambient, parseCelsiusRange),
      unstatedMinimum: DEFAULT_UNSTATED_MINIMUM,
    };
    const chosen = asked === undefined || maker === undefined ? conditions : madeBy(maker, asked, conditions);
    const found = asked === undefined ? undefined : find(asked, chosen);
    if (found && !isPartProblem(found)) {
      const page = partPage(found, chosen);
      if (html === undefined) return { exitCode: 0, text: doubts + partPageText(page), json: page };
      await writeWhole(html, partPageHtml(page, `dotwright ${version}`));
      return { exitCode: 0, text: `${doubts}The page of ${page.number}: ${html}`, json: page };
    }
    if (html !== undefined) {
      throw new BadInput(
        `dotwright: --html writes the page of one part; ${found ? found.problem : "no part is named"}`,
      );
    }
    const entries = searchCatalogue(
      {
        families: family,
        ...(asked !== undefined && { words: asked }),
        ...(options.function !== undefined && { function: options.function }),
        ...(delay !== undefined && { delay: read("delay", delay, parseTime) }),
        ...(pins !== undefined && { pins }),
        ...(options.package !== undefined && { package: options.package }),
        ...(maker !== undefined && { maker }),
      },
      conditions,
      own && { numbers: [...ownNumbers(own.parts), ...(asked === undefined ? [] : listPartNumbers())], find },
    );
    if (found && asked !== undefined && entries.length === 0) {
      const near = nearParts(asked, conditions);
      return { exitCode: 1, text: nearPartsText(found.problem, near), json: { problem: found.problem, near } };
    }
    const lines = catalogueLines(entries);
    return {
      exitCode: 0,
      text: doubts + catalogueText(lines, describeConditions(conditions)),
      json: { conditions: describeConditions(conditions), parts: lines },
    };
  },
});

function read<T>(option: string, text: string, parse: (text: string) => Reading<T>): T {
  const reading = parse(text);
  if (!isMisread(reading)) return reading.value;
  throw new BadInput(`dotwright: --${option}: ${reading.wrong}; expected ${reading.expected}`);
}
