import { HIGH, LOW, OPEN, type WrittenBoard, type WrittenChip, type WrittenPassive } from "./board.js";

const WIDTH = 110;

/** The circuit file of a board: chips in the order of its blocks, each block under a line that names it. */
export function circuitText(board: WrittenBoard): string {
  const refs = refsOf(board);
  const lines = [
    ...board.head.map((line) => (line === "" ? "#" : `# ${line}`)),
    "",
    "dotwright: 1",
    `title: ${board.title}`,
    "# The chips would run from 4.5 to 5.5 V; the picture's white follows the supply and needs it closer.",
    "supply: 5 V ± 3 %",
    "ambient: 0 to 50 °C",
    `build: ${board.build}`,
    "unstated minimum delays: quarter of typical",
    `raster: ${board.raster}`,
    "",
    "picture:",
    ...board.picture.map(([key, value]) => `  ${key}: ${value}`),
    "",
    "inputs:",
    ...board.inputs.flatMap(({ nets, timing, about }) => [
      ...(about === undefined ? [] : comment(about, 2)),
      `  ${nets}: ${timing}`,
    ]),
    "",
    "limits:",
    "  # A dead phase and the slowest enable after it.",
    `  undriven: ${board.undrivenNs} ns`,
    "",
    "chips:",
    ...board.blocks.flatMap(({ title, about, chips }, index) => [
      ...(index === 0 ? [] : [""]),
      heading(title),
      ...comment(about, 2),
      ...chips.flatMap((chip) => chipLines(refs.get(chip) ?? "", chip)),
    ]),
    "",
    "passives:",
    ...passiveLines(board, [...refs.values()]),
  ];
  return `${lines.join("\n")}\n`;
}

/** Names of all chips, in the order in which they are written. */
export function refsOf({ blocks }: WrittenBoard): ReadonlyMap<WrittenChip, string> {
  const counts = { X: 0, U: 0 };
  return new Map(
    blocks.flatMap(({ chips }) => chips.map((chip) => [chip, `${chip.kind ?? "U"}${++counts[chip.kind ?? "U"]}`])),
  );
}

function heading(title: string): string {
  return `  # ---- ${title} `.padEnd(WIDTH - 4, "-");
}

/** Sentences as comment lines that are not too long. */
function comment(text: string, indent: number): string[] {
  return wrapped(text, indent).map((one) => `${" ".repeat(indent)}# ${one}`);
}

/** Sentences in lines that fit behind `# `. */
export function wrapped(text: string, indent = 0): string[] {
  const lines: string[] = [];
  for (const word of text.split(/\s+/).filter((one) => one !== "")) {
    const line = lines.at(-1);
    if (line === undefined || indent + 2 + line.length + 1 + word.length > WIDTH) lines.push(word);
    else lines[lines.length - 1] = `${line} ${word}`;
  }
  return lines;
}

function chipLines(ref: string, chip: WrittenChip): string[] {
  return [
    `  ${ref}:`,
    `    part: ${chip.part}`,
    `    note: ${chip.note}`,
    "    pins:",
    ...pinLines(chip.pins, chip.remarks).map((line) => `      ${line}`),
  ];
}

/** Pins with their nets, runs of both taken together: `Q[A..D]: COL[0..3]`. */
export function pinLines(pins: ReadonlyMap<string, string>, remarks?: ReadonlyMap<string, string>): string[] {
  const entries = [...pins].map(([pin, net]) => ({ pin, net, remark: remarks?.get(pin) }));
  const lines: string[] = [];
  for (let at = 0; at < entries.length;) {
    const { pin, net, remark } = entries[at] ?? { pin: "", net: "", remark: undefined };
    const run = [pin];
    const nets = [net];
    let end = at + 1;
    const next = () => entries[end];
    if ([HIGH, LOW, OPEN].includes(net) || next()?.net === net) {
      for (let one = next(); one?.net === net && one.remark === undefined; one = next()) {
        run.push(one.pin);
        end++;
      }
    } else {
      for (
        let one = next();
        one?.remark === undefined && one && follows(run.at(-1) ?? "", one.pin) && follows(nets.at(-1) ?? "", one.net);
        one = next()
      ) {
        run.push(one.pin);
        nets.push(one.net);
        end++;
      }
    }
    const value = nets.length > 1 ? asRange(nets) : net;
    lines.push(`${key(run, nets.length > 1)}: ${value}${remark === undefined ? "" : ` # ${remark}`}`);
    at = end;
  }
  return lines;
}

function key(pins: readonly string[], isRange: boolean): string {
  const text = isRange ? asRange(pins) : pins.join(", ");
  return text.startsWith("[") ? `"${text}"` : text;
}

/** The places of two names where one counts on from the other: numbers, or single capital letters at the end. */
function follows(one: string, other: string): boolean {
  return stepped(one) === other;
}

const COUNTED = /^(.*?)(\d+|(?<=Q|^)[A-G])(\D*)$/;

function stepped(name: string): string | undefined {
  const match = COUNTED.exec(name);
  if (!match) return undefined;
  const [, before = "", at = "", behind = ""] = match;
  const next = /\d/.test(at) ? String(Number(at) + 1) : String.fromCharCode(at.charCodeAt(0) + 1);
  return `${before}${next}${behind}`;
}

function asRange(names: readonly string[]): string {
  const [first = "", last = ""] = [names[0], names.at(-1)];
  const match = COUNTED.exec(first);
  const end = /\d+(?=\D*$)/.exec(last)?.[0];
  if (!match) return names.join(", ");
  const [, before = "", at = "", behind = ""] = match;
  return `${before}[${at}..${/\d/.test(at) ? end : last.charAt(before.length)}]${behind}`;
}

function passiveLines({ passives }: WrittenBoard, refs: readonly string[]): string[] {
  const counts = { R: 0, C: 0 };
  const line = ({ kind, value, tolerance, between, note }: WrittenPassive) =>
    `  ${kind}${++counts[kind]}: { value: ${value}, ${tolerance === undefined ? "" : `tolerance: ${tolerance}, `}` +
    `between: [${between.join(", ")}], note: ${note} }`;
  const decoupling: WrittenPassive[] = [
    { kind: "C", value: "47 uF", between: [HIGH, LOW], note: "where the supply comes in" },
    ...refs.map((ref): WrittenPassive => ({ kind: "C", value: "100 nF", between: [HIGH, LOW], note: `at ${ref}` })),
  ];
  return [
    ...passives.flatMap(({ title, about, parts }) => [
      heading(title),
      ...(about === undefined ? [] : comment(about, 2)),
      ...parts.map(line),
    ]),
    heading("Supply"),
    ...decoupling.map(line),
  ];
}
