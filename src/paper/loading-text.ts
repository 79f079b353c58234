import type { Circuit, NetId } from "../circuit/index.js";
import {
  type CycleStep,
  type DescribedStep,
  type Filled,
  type Landing,
  type MappedScreen,
  type NextView,
  type Numbering,
  type TransferRate,
  type ViewWay,
  type WritePath,
  describeByte,
  describeCycle,
  wordsOf,
} from "../loading/index.js";
import { busName } from "./bus-name.js";
import { formatTime, fs } from "../quantity/index.js";

const count = (value: number, one: string, many = `${one}s`) =>
  `${value.toLocaleString("en")} ${value === 1 ? one : many}`;

/** What the screen is made of, as it was found. */
export function screenSentences(
  { map, circuit, syncRom }: MappedScreen,
  { values, grid }: Pick<Filled, "values" | "grid">,
): readonly string[] {
  const colours = values.values.length === 2 ? "two colours" : `${values.values.length} colours`;
  const memories = map.rams.map(({ chip }) => `${chip.ref} (${chip.part.number}, ${count(wordsOf(chip), "byte")})`);
  const dots = map.width * map.height;
  const cells = grid
    ? ` It shows ${grid.columns} x ${grid.rows} characters of ${grid.width} x ${grid.height} dots out of a ROM.`
    : "";
  const share =
    map.found === 1
      ? "Each was found to be one bit of the memory."
      : `${(map.found * 100).toFixed(1)} % of them were found to be bits of the memory.`;
  return [
    `${circuit.title}: ${map.width} x ${map.height} dots in ${colours}, in ${memories.join(", ")}.${cells}`,
    ...(syncRom
      ? [`${syncRom.chip.ref} makes the syncs: ${syncRom.columns} counts a line, ${syncRom.lines} lines a frame.`]
      : []),
    grid && map.found === 1 ? `Each of the ${dots.toLocaleString("en")} dots was found.` : share,
  ];
}

/** Whether what was wanted is shown. */
export function fillSentences({ unlike, missing }: Filled, differing: number | undefined): readonly string[] {
  const lines: string[] = [];
  if (missing.length > 0) lines.push(`Letters that the font does not have: ${missing.slice(0, 12).join(" ")}`);
  if (unlike > 0) lines.push(`${count(unlike, "dot")} cannot be shown as wanted.`);
  if (differing === 0) lines.push("The circuit shows it, dot for dot.");
  if (differing !== undefined && differing > 0)
    lines.push(`${count(differing, "dot")} came out otherwise than foretold.`);
  return lines;
}

/** In whose numbers a memory image is written. */
export function numberingSentence(numbering: Numbering | undefined, isProcessors: boolean): string {
  if (!numbering) return "Addresses are those of the memory's own pins.";
  if (numbering.isSame) return "";
  const [address, data] = numbering.names;
  return isProcessors
    ? `Addresses and bits are those of ${address} and ${data}; the memory's own pins count otherwise.`
    : `Addresses and bits are those of the memory's own pins; ${address} and ${data} count otherwise.`;
}

/** What says which part of the memory is shown, what it holds now, and what is to be shown next. */
export function viewSentences(
  circuit: Circuit,
  way: ViewWay,
  from: number,
  next: NextView | undefined,
  bytes: number,
): readonly string[] {
  const register = `${linesText(circuit, way)} say what of the memory is shown, 0 to ${2 ** way.address.length - 1}`;
  if (!next) return [`${register}: this is for ${from}.`];
  const last = next.numbers.at(-1) ?? from;
  const many = next.numbers.length === 1 ? "" : `, in ${next.numbers.length} vertical blankings`;
  const where = next.isHidden
    ? "out of sight"
    : "in the blanking in which the picture moves, since what comes in is in sight before";
  if (next.rows === undefined) {
    return [
      `${register}.`,
      `The page of ${last} is filled out of sight, and shown in place of that of ${from} in vertical blanking.`,
    ];
  }
  const rows = count(Math.abs(next.rows), "row");
  return [
    `${register}.`,
    `The picture moves ${next.rows > 0 ? "up" : "down"} by ${rows} as it goes from ${from} to ${last}${many}: ${count(bytes, "byte")} ${bytes === 1 ? "is" : "are"} written, ${where}.`,
  ];
}

/** How the register is set. */
export function registerSentences(circuit: Circuit, way: ViewWay): readonly string[] {
  const steps = describeByte(circuit, way).map(
    (step) => `  ${formatTime(fs(Math.round(step.timeFs)), 1).padStart(9)}  ${stepText(circuit, way, step)}`,
  );
  return ["What is shown is set so, as a vertical blanking begins:", ...steps];
}

export function viewData(circuit: Circuit, way: ViewWay, from: number, next: NextView | undefined) {
  return {
    lines: way.address.map((source) =>
      source.kind === "fixed" ? source.level : (circuit.nets[source.net]?.name ?? ""),
    ),
    held: Object.fromEntries(
      way.stages.flatMap(({ held }) => [...held]).map(([net, level]) => [circuit.nets[net]?.name ?? "", level]),
    ),
    from,
    ...(next && {
      numbers: next.numbers,
      ...(next.rows !== undefined && { rows: next.rows }),
      outOfSight: next.isHidden,
    }),
  };
}

/** `PD[0..7], written with PA15 high,` */
function linesText({ nets }: Circuit, { address, stages }: ViewWay): string {
  const name = (net: NetId) => nets[net]?.name ?? "";
  const lines = busName(address.flatMap((source) => (source.kind === "line" ? [name(source.net)] : [])));
  const held = stages
    .flatMap((stage) => [...stage.held])
    .map(([net, level]) => `${name(net)} ${level === 1 ? "high" : "low"}`);
  const strobe = name(stages.at(-1)?.strobe.net as NetId);
  return `${lines}, taken by ${strobe}${held.length > 0 ? ` with ${held.join(" and ")}` : ""},`;
}

/** How a byte is sent, and how long all of them take. */
export function sequenceSentences(
  circuit: Circuit,
  paths: readonly WritePath[],
  rate: TransferRate,
  order: string,
): readonly string[] {
  const perSecond = rate.byteFs === 0 ? 0 : 1e15 / rate.byteFs;
  return [
    ...paths.flatMap((path) => waySentences(circuit, path)),
    `At least ${time(rate.byteFs)} a byte: ${Math.floor(perSecond).toLocaleString("en")} bytes a second.`,
    `${count(rate.bytes, "byte")}: ${time(rate.timeFs)} and ${count(rate.pinChanges, "pin change")}${order}.`,
    rate.perBlanking === 0
      ? "Not one byte fits into a vertical blanking."
      : `In vertical blankings only: ${rate.perBlanking.toLocaleString("en")} bytes in each, ${time(rate.inBlankingFs)} for all.`,
  ];
}

/** How one byte is sent. */
function waySentences(circuit: Circuit, path: WritePath): readonly string[] {
  const cycle = describeCycle(circuit, path);
  const steps = cycle.length > 0 ? [] : describeByte(circuit, path);
  const [clock] = path.stages.map(({ strobe }) => strobe);
  const head = clock?.beat
    ? `A byte goes into ${path.ram.ref} in one cycle of ${circuit.nets[clock.net]?.name ?? ""}, ${time(clock.beat.period)}:`
    : path.isFree
      ? `${path.ram.ref} is written all the time with what is latched. A byte is sent so, each step as early as the file's promises allow:`
      : `A byte goes into ${path.ram.ref} so, each step as early as the file's promises allow:`;
  return [
    head,
    ...steps.map(
      (step) => `  ${formatTime(fs(Math.round(step.timeFs)), 1).padStart(9)}  ${stepText(circuit, path, step)}`,
    ),
    ...cycle.map((step) => `  ${cycleText(circuit, step)}`),
    ...(clock?.beat
      ? ["A program takes several cycles for a byte; these are the least times, a byte with every cycle."]
      : []),
  ];
}

function time(femtoseconds: number): string {
  return formatTime(fs(Math.round(femtoseconds)), 2);
}

/** `within 30 ns of its fall PA[0..14] are set, RW# and SELECT# go low` */
function cycleText({ nets }: Circuit, { edge, withinFs, lines, held }: CycleStep): string {
  const name = (net: NetId) => nets[net]?.name ?? "";
  const set = busesOf(lines.map(name));
  const levels = [0, 1].flatMap((level) => {
    const names = [...held].filter(([, one]) => one === level).map(([net]) => name(net));
    return names.length === 0
      ? []
      : [`${names.join(" and ")} ${names.length === 1 ? "is" : "are"} ${level === 1 ? "high" : "low"}`];
  });
  return `from ${time(withinFs)} after its ${edge} on ${[...(set === "" ? [] : [`${set} ${lines.length === 1 ? "is" : "are"} set`]), ...levels].join(", ")}`;
}

function stepText(circuit: Circuit, path: WritePath, { lines, holds, sets, pulse }: DescribedStep): string {
  const name = (net: NetId) => circuit.nets[net]?.name ?? "";
  const times = pulse ? ` (${pulse.number} of ${pulse.of})` : "";
  if (holds) return `${name(holds.net)} is ${holds.level === 1 ? "high" : "low"}${times}`;
  if (sets) return `${name(sets.net)} goes ${sets.level === 1 ? "high" : "low"}${times}`;
  return `${busesOf(lines.map(name))} ${lines.length === 1 ? "is" : "are"} set${bitsText(path, lines, pulse?.number)}${times}`;
}

/** Names of nets, those of a bus as one. */
function busesOf(names: readonly string[]): string {
  const buses = new Map<string, string[]>();
  for (const name of names) {
    const stem = name.replace(/\d+$/, "");
    buses.set(stem, [...(buses.get(stem) ?? []), name]);
  }
  const sorted = [...buses.values()].map((own) =>
    busName(own.sort((one, other) => Number(/\d*$/.exec(one)?.[0]) - Number(/\d*$/.exec(other)?.[0]))),
  );
  return sorted.join(", ");
}

/** Which bits a line carries, where it carries one after the other. */
function bitsText({ address, data, stages }: WritePath, lines: readonly NetId[], pulse: number | undefined): string {
  const [line] = lines;
  if (pulse === undefined || lines.length !== 1) return "";
  const isIt = (source: WritePath["address"][number]) =>
    source.kind === "line" &&
    source.net === line &&
    source.pulse === pulse - 1 &&
    (stages[source.stage]?.pulses ?? 0) > 1;
  const [at, of] = [address.findIndex(isIt), data.findIndex(isIt)];
  if (at >= 0) return ` to bit ${at} of the address`;
  return of >= 0 ? ` to bit ${of} of the byte` : "";
}

/** When bytes that are sent are written. */
export function landingSentences({ inPicture, inBlanking }: Landing): readonly string[] {
  const [sent, landed] = [inPicture.sent + inBlanking.sent, inPicture.landed + inBlanking.landed];
  if (landed === sent)
    return [`Tried without delays at ${sent} moments of a frame: every byte landed. Of delays, prove speaks.`];
  const lost = (where: Landing["inPicture"]) => `${where.sent - where.landed} of ${where.sent}`;
  return [
    `Tried without delays at ${sent} moments of a frame: ${lost(inPicture)} bytes were lost or late while the picture is drawn, ` +
      `${lost(inBlanking)} in vertical blanking.`,
  ];
}
