import type { Circuit, NetId } from "../../circuit/index.js";
import { formatTime } from "../../quantity/index.js";
import { cName, linesOf } from "../format/c-array.js";
import { hex } from "../format/memory-image.js";
import type { ViewWay } from "../view/learn-view.js";
import { writeMemoryC } from "./c-memory.js";
import { runsOf } from "./runs.js";
import type { Level } from "./pins.js";
import type { SentByte } from "./sender.js";
import type { Transfer } from "./rate.js";
import { waitsOf } from "./waits.js";
import type { Stage, WritePath } from "./write-path.js";

/**
 * Writes a transfer as C (ISO/IEC 9899:1999) for a microcontroller with plain pins: the sender, the bytes, and three functions
 * for the user to fill in. Waits are least times; a microcontroller that is slower keeps them by itself.
 */
export interface CSettings {
  /** Of what the bytes show, for the head of the file. */
  readonly title: string;
  /** Bytes that are sent in one blanking, where it is waited for. */
  readonly perBlanking?: number;
  /** What goes into further memories. */
  readonly others?: readonly Transfer[];
  /** What is shown is to change as well. */
  readonly view?: SentView;
}

/** A register that says what is shown, and the numbers that it is to get: one in each vertical blanking. */
export interface SentView {
  readonly way: ViewWay;
  readonly numbers: readonly number[];
  /** Before the bytes, where these are on the screen else, or behind them. */
  readonly comes: "before" | "behind";
}

/** Codes of bits in the tables: 0 to 31 of the address, from 32 on of the byte; or an input is left as it is. */
const DATA = 32;
const INVERTED = 64;
const LEAVE = 255;

export function writeC(circuit: Circuit, path: WritePath, bytes: readonly SentByte[], settings: CSettings): string {
  if (path.stages.some(({ strobe }) => strobe.beat)) return writeMemoryC(circuit, path, bytes, settings.title);
  const { perBlanking, view, others = [] } = settings;
  const ways: readonly CWay[] = [
    {
      path,
      stem: "",
      call: "void dw_write(unsigned long address, unsigned char byte)",
      number: "address",
      byte: "byte",
    },
    ...others.map(({ path: other }) => ({
      path: other,
      stem: stemOf(other),
      call: `void dw_${stemOf(other)}write(unsigned long address, unsigned char byte)`,
      number: "address",
      byte: "byte",
    })),
    ...(view
      ? [{ path: view.way, stem: "show_", call: "void dw_show(unsigned long number)", number: "number", byte: "0u" }]
      : []),
  ];
  const pins = pinNames(circuit, ways);
  const sent = [{ stem: "", bytes }, ...others.map((one) => ({ stem: stemOf(one.path), bytes: one.bytes }))].filter(
    (one) => one.bytes.length > 0,
  );
  const name = (net: NetId) => pins.get(net) ?? "";
  const parts = [
    head(circuit, [{ path, bytes }, ...others], settings, pins),
    "#define DW_PINS " + String(pins.size),
    [...pins].map(([net, pin], index) => `#define ${pin} ${index}u /* ${circuit.nets[net]?.name ?? ""} */`).join("\n"),
    declarations(ways, perBlanking !== undefined || view !== undefined),
    `/* Levels at rest, in the order of the pins. */\nstatic unsigned char dw_level[DW_PINS] = {${[...pins.keys()].map((net) => path.rest.get(net) ?? 0).join(", ")}};`,
    setter,
    bitOf,
    ...ways.flatMap((way) => way.path.stages.map((stage, index) => stageTable(way, stage, index, name))),
    latchMemory(path),
    ...ways.map((way) => writer(circuit, way, ways, name)),
    ...sent.map(byteTables),
    loader(sent, settings),
  ];
  return `${parts.filter((part) => part !== "").join("\n\n")}\n`;
}

/** What the functions and tables of a further memory have in their names: `u6_`. */
function stemOf({ ram }: WritePath): string {
  return `${cName(ram.ref).toLowerCase()}_`;
}

/** The bytes of one memory, and where they go. */
function byteTables({ stem, bytes }: SentTo): string {
  const runs = runsOf(bytes);
  const size = runs.every(({ address, count }) => address < 2 ** 16 && count < 2 ** 16) ? "short" : "long";
  return [
    "/* The bytes, in the order in which they are sent. */",
    `static const unsigned char dw_${stem}bytes[${bytes.length}] = {`,
    ...linesOf(Uint8Array.from(bytes, ({ byte }) => byte)),
    "};",
    "",
    "/* Where they go: stretches of consecutive addresses. */",
    `static const struct { unsigned ${size} address, count; } dw_${stem}runs[${runs.length}] = {`,
    ...runs.map(({ address, count }) => `    {${hex(address)}, ${count}},`),
    "};",
  ].join("\n");
}

function head(
  circuit: Circuit,
  transfers: readonly Transfer[],
  { title, perBlanking, view }: CSettings,
  pins: ReadonlyMap<NetId, string>,
): string {
  const memories = transfers.map(({ path: { ram } }) => `${ram.ref} (${ram.part.number})`);
  const bytes = transfers.reduce((sum, transfer) => sum + transfer.bytes.length, 0);
  const functions = perBlanking === undefined && !view ? "three functions" : "four functions";
  const lines = [
    `Fills ${memories.join(" and ")} of "${comment(circuit.title)}": ${comment(title)}, ${bytes} bytes.`,
    "",
    `Write the ${functions} declared below for your microcontroller, make the ${pins.size} pins outputs at their`,
    "levels of dw_level, let the circuit's reset go, and call dw_load(). dw_write() writes one byte by itself.",
    ...(view ? ["dw_show() sets the register that says what is shown."] : []),
    "Addresses and bytes are those at the memory's own pins.",
    ...windowsOf(circuit, pins),
  ];
  return `/*\n${lines.map((line) => ` * ${line}`.trimEnd()).join("\n")}\n */`;
}

/** Waits are least times; what has to come within a time must be said. */
function windowsOf({ inputs, nets }: Circuit, pins: ReadonlyMap<NetId, string>): readonly string[] {
  return inputs.flatMap(({ net, timing }) => {
    if (!pins.has(net) || timing.kind !== "after") return [];
    const edge = `${nets[timing.net]?.name ?? ""} ${timing.edge}`;
    return [
      `${nets[net]?.name ?? ""} must change within ${formatTime(timing.delay.max)} of ${edge}: no slower microcontroller will do.`,
    ];
  });
}

/** Text that cannot end a comment. */
function comment(text: string): string {
  return text.replace(/[^\x20-\x7e]/g, "?").replace(/\*\//g, "* /");
}

function declarations(ways: readonly CWay[], waitsForBlanking: boolean): string {
  return [
    "/* Yours to write: set and clear a pin; let at least so many nanoseconds pass. */",
    "void dw_set_pin(unsigned char pin);",
    "void dw_clear_pin(unsigned char pin);",
    "void dw_wait_ns(unsigned long nanoseconds);",
    ...(waitsForBlanking
      ? ["/* Comes back when a vertical blanking begins. */", "void dw_wait_for_blanking(void);"]
      : []),
    "",
    ...ways.map(({ call }) => `${call};`),
    "void dw_load(void);",
  ].join("\n");
}

const setter = `static void dw_put(unsigned char pin, unsigned char level)
{
    if (dw_level[pin] == level) {
        return;
    }
    dw_level[pin] = level;
    if (level != 0u) {
        dw_set_pin(pin);
    } else {
        dw_clear_pin(pin);
    }
}`;

const bitOf = `/* A bit of the address (0 to 31) or of the byte (from ${DATA} on), turned over where ${INVERTED} is added. */
static unsigned char dw_bit(unsigned char code, unsigned long address, unsigned char byte)
{
    unsigned char place = (unsigned char)(code % ${INVERTED}u);
    unsigned long bit = place < ${DATA}u ? address >> place : (unsigned long)byte >> (place - ${DATA}u);
    return (unsigned char)((bit & 1ul) ^ (code >= ${INVERTED}u ? 1ul : 0ul));
}`;

/** A way as a function of its own: what it and its tables are called, and what its two numbers are. */
interface CWay {
  readonly path: WritePath;
  readonly stem: string;
  readonly call: string;
  readonly number: string;
  readonly byte: string;
}

/** C names of the inputs: that of the net as far as C takes it, each once. */
function pinNames({ nets }: Circuit, ways: readonly CWay[]): ReadonlyMap<NetId, string> {
  const used = new Set<NetId>();
  for (const { path } of ways) {
    for (const { strobe, held } of path.stages) for (const net of [...held.keys(), strobe.net]) used.add(net);
    for (const source of [...path.address, ...path.data]) if (source.kind === "line") used.add(source.net);
  }
  const names = new Map<NetId, string>();
  for (const net of used) {
    const stem = `DW_${cName(nets[net]?.name ?? "").toUpperCase()}`;
    let name = stem;
    for (let more = 2; [...names.values()].includes(name); more++) name = `${stem}_${more}`;
    names.set(net, name);
  }
  return names;
}

/** Lines of a stage in one order, and the code of each at each pulse. */
function linesOfStage({ address, data }: WritePath, stage: number) {
  const entries = [
    ...address.map((source, bit) => ({ source, bit })),
    ...data.map((source, bit) => ({ source, bit: bit + DATA })),
  ].flatMap(({ source, bit }) =>
    source.kind === "line" && source.stage === stage
      ? [{ ...source, code: bit + (source.inverted ? INVERTED : 0) }]
      : [],
  );
  const nets = [...new Set(entries.map(({ net }) => net))];
  return {
    nets,
    codeAt: (pulse: number, net: NetId) => entries.find((one) => one.pulse === pulse && one.net === net)?.code ?? LEAVE,
  };
}

function stageTable({ path, stem }: CWay, { pulses }: Stage, index: number, name: (net: NetId) => string): string {
  const { nets, codeAt } = linesOfStage(path, index);
  if (nets.length === 0) return "";
  const rows = Array.from(
    { length: pulses },
    (_, pulse) => `    {${nets.map((net) => codeAt(pulse, net)).join(", ")}},`,
  );
  return [
    `static const unsigned char dw_${stem}lines_${index}[${nets.length}] = {${nets.map(name).join(", ")}};`,
    `static const unsigned char dw_${stem}codes_${index}[${pulses}][${nets.length}] = {`,
    ...rows,
    "};",
  ].join("\n");
}

/** Whether a stage is a latch that need not be loaded again with what it holds. */
function isLatch(path: WritePath, index: number): boolean {
  const isLast = index === path.stages.length - 1 && !path.isFree;
  return !isLast && path.stages[index]?.pulses === 1 && linesOfStage(path, index).nets.length > 0;
}

/** Bits of address and byte that a stage hangs on. */
function maskOf({ address, data }: WritePath, stage: number): { readonly address: number; readonly data: number } {
  const mask = (sources: WritePath["address"]) =>
    sources.reduce((sum, source, bit) => sum + (source.kind === "line" && source.stage === stage ? 2 ** bit : 0), 0);
  return { address: mask(address), data: mask(data) };
}

function latchMemory(path: WritePath): string {
  const latches = path.stages.flatMap((_, index) => (isLatch(path, index) ? [index] : []));
  return latches
    .map(
      (index) =>
        `/* What the latch of step ${index + 1} holds. */\nstatic unsigned char dw_holds_${index};\nstatic unsigned long dw_address_${index};\nstatic unsigned char dw_byte_${index};`,
    )
    .join("\n");
}

function writer(circuit: Circuit, way: CWay, ways: readonly CWay[], name: (net: NetId) => string): string {
  const { path, stem, call, number, byte } = way;
  // The first way is the memory's, and remembers what its latches hold.
  const remembers = way === ways[0];
  const body = path.stages.flatMap((stage, index) => {
    const { nets } = linesOfStage(path, index);
    const waits = waitsOf(
      circuit,
      ways.map((one) => one.path),
      path,
      index,
    );
    const { address, data } = maskOf(path, index);
    const latch = remembers && isLatch(path, index);
    const takesOver = remembers && nets.length === 0 && index > 0;
    const level = (net: NetId, to: Level) => `dw_put(${name(net)}, ${to}u);`;
    const wait = (nanoseconds: number) => (nanoseconds > 0 ? [`dw_wait_ns(${nanoseconds}ul);`] : []);
    const pulse = [
      ...wait(waits.lines),
      ...[...stage.held].map(([net, to]) => level(net, to)),
      ...(nets.length > 0
        ? [
            `for (line = 0u; line < ${nets.length}u; line++) {`,
            `    if (dw_${stem}codes_${index}[pulse][line] != ${LEAVE}u) {`,
            `        dw_put(dw_${stem}lines_${index}[line], dw_bit(dw_${stem}codes_${index}[pulse][line], ${number}, ${byte}));`,
            "    }",
            "}",
          ]
        : []),
      ...wait(waits.before),
      level(stage.strobe.net, stage.strobe.rest === 1 ? 0 : 1),
      ...wait(waits.width),
      level(stage.strobe.net, stage.strobe.rest),
    ];
    const comment = `/* ${circuit.nets[stage.strobe.net]?.name ?? ""}${stage.pulses > 1 ? `, ${stage.pulses} times` : ""} */`;
    const loop = [`for (pulse = 0u; pulse < ${stage.pulses}u; pulse++) {`, ...indent(pulse), "}"];
    const sent = [...loop, ...(remembers && needsSent(path) ? ["sent = 1u;"] : [])];
    if (latch) {
      const [at, of] = [`(address & ${hex(address)}ul)`, `(unsigned char)(byte & ${hex(data, 2)}u)`];
      return [
        comment,
        `if (dw_holds_${index} == 0u || dw_address_${index} != ${at} || dw_byte_${index} != ${of}) {`,
        ...indent(sent),
        `    dw_holds_${index} = 1u;`,
        `    dw_address_${index} = ${at};`,
        `    dw_byte_${index} = ${of};`,
        "}",
      ];
    }
    const isLast = index === path.stages.length - 1 && !path.isFree;
    return takesOver && !isLast ? [comment, "if (sent != 0u) {", ...indent(loop), "}"] : [comment, ...sent];
  });
  const usesLine = path.stages.some((_, index) => linesOfStage(path, index).nets.length > 0);
  const variables = [
    "unsigned char pulse;",
    ...(usesLine ? ["unsigned char line;"] : []),
    ...(remembers && needsSent(path) ? ["unsigned char sent = 0u;"] : []),
  ];
  // What goes another way may pass through the same latches.
  const memory = ways[0]?.path;
  const forgets =
    !remembers && memory ? memory.stages.flatMap((_, index) => (isLatch(memory, index) ? [index] : [])) : [];
  return [
    call,
    "{",
    ...indent([...variables, "", ...body, ...forgets.map((index) => `dw_holds_${index} = 0u;`)]),
    "}",
  ].join("\n");
}

/** Whether some strobe takes over what earlier ones hold, so that it is to be known whether any of them was sent. */
function needsSent(path: WritePath): boolean {
  return path.stages.some((_, index) => {
    const isLast = index === path.stages.length - 1 && !path.isFree;
    return index > 0 && !isLast && linesOfStage(path, index).nets.length === 0;
  });
}

function indent(lines: readonly string[]): readonly string[] {
  return lines.map((line) => (line === "" ? "" : `    ${line}`));
}

/** Bytes that go into a memory, and what its tables have in their names. */
interface SentTo {
  readonly stem: string;
  readonly bytes: readonly SentByte[];
}

function loader(sent: readonly SentTo[], { perBlanking, view }: CSettings): string {
  const shows = (view?.numbers ?? []).flatMap((number) => ["dw_wait_for_blanking();", `dw_show(${number}ul);`]);
  const isBefore = view?.comes === "before";
  const waits =
    perBlanking === undefined
      ? []
      : [
          `            if (left == 0ul) {`,
          `                dw_wait_for_blanking();`,
          `                left = ${perBlanking}ul;`,
          `            }`,
          `            left--;`,
        ];
  const sends = sent.flatMap(({ stem, bytes }) => [
    `    byte = dw_${stem}bytes;`,
    `    for (run = 0ul; run < ${runsOf(bytes).length}ul; run++) {`,
    `        for (at = 0ul; at < dw_${stem}runs[run].count; at++) {`,
    ...waits,
    `            dw_${stem}write(dw_${stem}runs[run].address + at, *byte++);`,
    "        }",
    "    }",
  ]);
  const variables = [
    "    const unsigned char *byte;",
    "    unsigned long run;",
    "    unsigned long at;",
    // Behind the register's number the rest of the blanking is for bytes, too.
    ...(perBlanking === undefined ? [] : [`    unsigned long left = ${isBefore ? perBlanking : 0}ul;`]),
    "",
  ];
  return [
    "void dw_load(void)",
    "{",
    ...(sent.length > 0 ? variables : []),
    ...(isBefore ? indent(shows) : []),
    ...sends,
    ...(isBefore ? [] : indent(shows)),
    "}",
  ].join("\n");
}
