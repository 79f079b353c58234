import type { Circuit, Net } from "../../circuit/index.js";
import { busName } from "../bus-name.js";
import type { Markup } from "../markup.js";
import { refRanges } from "../parts-list.js";
import { type Box, type Label, Sheet } from "../sheet.js";
import { wrapText } from "../text-table.js";
import { textWidth } from "../text-width.js";
import type { Block } from "./blocks.js";
import { type Box as LayoutBox, type Layout, layered, type Line, type Port } from "./layered-layout.js";
import { paintLines } from "./paint-lines.js";
import { sheetSize } from "./sheet-size.js";

const pitch = 16;
const nameSize = 10.5;
const titleSize = 13;
const stub = 7;
/** Longer names of several nets are cut. */
const longestName = 140;
/** Signals for more blocks than this are told by their names alone, as clocks are: their lines would cover all others. */
const mostJoined = 2;

/** Nets that leave one block for the same others, as one line. */
interface Flow {
  /** `COL[0..5]`, `LINE_END, LINE_END#`. */
  readonly name: string;
  readonly nets: readonly string[];
  readonly from: number;
  readonly to: readonly number[];
}

interface Side {
  readonly flow: Flow;
  readonly port: Port;
}

interface Drawn {
  readonly title: readonly string[];
  readonly refs: readonly string[];
  readonly width: number;
  readonly height: number;
  readonly left: readonly Side[];
  readonly right: readonly Side[];
}

/** The block diagram of a circuit. */
export interface BlockDrawing {
  readonly svg: Markup;
  readonly width: number;
  readonly height: number;
  readonly labels: readonly Label[];
  readonly blocks: readonly (Box & { readonly title: string })[];
}

const outside = "Outside";
const monitor = "Monitor";

/** The blocks, and the nets that go from one to another; what comes from outside and what goes to the monitor stand as blocks too. */
export async function blockDiagram(circuit: Circuit, blocks: readonly Block[]): Promise<BlockDrawing> {
  const titles = [outside, ...blocks.map(({ title }) => title), monitor];
  const flows = flowsOf(circuit, blocks);
  const all = titles.map((title, i) => drawnBlock(title, i, blocks[i - 1], flows));
  const used = all.map(({ left, right }, i) => ({ block: all[i] as Drawn, i, isUsed: left.length + right.length > 0 }));
  const shown = used.filter(({ i, isUsed }) => isUsed || (i > 0 && i < titles.length - 1));
  const boxes = shown.map(({ block, i }) => ({
    id: String(i),
    width: block.width,
    height: block.height,
    ports: [...block.left, ...block.right].filter(({ flow }) => isJoined(flow)).map(({ port }) => port),
  }));
  const lines = flows.flatMap((flow, f) =>
    (isJoined(flow) ? flow.to : []).map((to): Line & { isBus: boolean } => ({
      id: `${f} to ${to}`,
      from: `${flow.from} out ${f}`,
      to: `${to} in ${inputOf(all[to], flow)}`,
      isBus: flow.nets.length > 1 && isOneBus(flow.name),
    })),
  );
  const layout = await wellShaped(boxes, lines);
  const sheet = new Sheet("block-diagram", Math.ceil(layout.width) + 4);
  paintLines(sheet, lines, layout);
  const places = shown.map(({ block, i }) => {
    const [x, y] = layout.boxes.get(String(i)) ?? [0, 0];
    paint(sheet, block, x, y, i === 0 || i === titles.length - 1);
    return { title: titles[i] ?? "", x, y, width: block.width, height: block.height };
  });
  const height = Math.ceil(layout.height) + 4;
  const said = flows.map(
    ({ from, to, nets }) => `${titles[from]} to ${to.map((i) => titles[i]).join(", ")}: ${nets.join(", ")}`,
  );
  return {
    svg: sheet.svg(height, `Block diagram of ${circuit.title}`, `${said.join("; ")}.`),
    width: sheet.width,
    height,
    labels: sheet.labels,
    blocks: places,
  };
}

/** In one row of columns, or in two where that leaves the letters much larger on a sheet. */
async function wellShaped(boxes: readonly LayoutBox[], lines: readonly Line[]): Promise<Layout> {
  const spacing = { aspect: sheetSize.width / sheetSize.height, boxes: 18, columns: 18 };
  const scale = ({ width, height }: Layout) => Math.min(sheetSize.width / width, sheetSize.height / height);
  const plain = await layered(boxes, lines, spacing);
  if (scale(plain) > 0.8) return plain;
  const wrapped = await layered(boxes, lines, { ...spacing, wraps: true });
  return scale(wrapped) > 1.25 * scale(plain) ? wrapped : plain;
}

/** The port by which a flow comes in: one for each set of nets, whoever drives them. */
function inputOf(block: Drawn | undefined, flow: Flow): string {
  return block?.left.find((side) => side.flow.name === flow.name)?.port.id.replace(/^\d+ in /, "") ?? flow.name;
}

function isJoined({ to, name }: Flow): boolean {
  return to.length <= mostJoined || isOneBus(name);
}

function flowsOf(circuit: Circuit, blocks: readonly Block[]): Flow[] {
  const places = new Map(blocks.flatMap(({ chips }, i) => chips.map((chip) => [chip, i + 1] as const)));
  const last = blocks.length + 1;
  const picture = circuit.picture;
  const video = picture?.video;
  const shown = video?.kind === "mono" ? [video.net] : video ? [...video.red, ...video.green, ...video.blue] : [];
  const toMonitor = new Set<number>(picture ? [picture.hsync, picture.vsync, ...shown] : []);
  const found = new Map<string, { from: number; to: number[]; nets: Net[] }>();
  for (const net of circuit.nets) {
    if (net.rail !== undefined) continue;
    const drivers = net.drivers.map(({ chip }) => places.get(chip) ?? 0);
    const sources = [...new Set([...drivers, ...(net.input && drivers.length === 0 ? [0] : [])])];
    const readers = net.receivers.map(({ chip }) => places.get(chip) ?? 0);
    const targets = [...new Set([...readers, ...(toMonitor.has(net.id) ? [last] : [])])].sort((a, b) => a - b);
    for (const from of sources) {
      const to = targets.filter((target) => target !== from);
      if (to.length === 0) continue;
      const key = `${from} ${to.join(" ")}`;
      const flow = found.get(key);
      if (flow) flow.nets.push(net);
      else found.set(key, { from, to, nets: [net] });
    }
  }
  return [...found.values()].flatMap(({ from, to, nets }) =>
    byBus(nets).map((names): Flow => ({ from, to, nets: names, name: nameOf(names) })),
  );
}

/** Nets of one bus together; all others of the same way together. */
function byBus(nets: readonly Net[]): string[][] {
  const stems = new Map<string, string[]>();
  for (const { name } of nets) {
    const stem = /^(.*?)\d+$/.exec(name)?.[1] ?? "";
    stems.set(stem, [...(stems.get(stem) ?? []), name]);
  }
  const [buses, single]: [string[][], string[]] = [[], stems.get("") ?? []];
  for (const [stem, names] of stems) {
    if (stem === "") continue;
    if (names.length > 2) buses.push(names.sort((a, b) => numberOf(a) - numberOf(b)));
    else single.push(...names);
  }
  return [...buses, ...(single.length > 0 ? [single] : [])];
}

function numberOf(name: string): number {
  return Number(/\d+$/.exec(name)?.[0] ?? 0);
}

function nameOf(names: readonly string[]): string {
  const bus = busName(names);
  const name = names.length > 2 && isOneBus(bus) ? bus : names.join(", ");
  if (textWidth(name, nameSize, "mono") <= longestName) return name;
  let shown = names.length - 1;
  const cut = () => `${names.slice(0, shown).join(", ")} and ${names.length - shown} more`;
  while (shown > 1 && textWidth(cut(), nameSize, "mono") > longestName) shown--;
  return cut();
}

function isOneBus(name: string): boolean {
  return /\[\d+\.\.\d+\]$/.test(name);
}

function drawnBlock(title: string, index: number, block: Block | undefined, flows: readonly Flow[]): Drawn {
  const incoming = flows.filter(({ to }) => to.includes(index));
  const names = [...new Set(incoming.map(({ name }) => name))];
  const inputs = names.flatMap((name) => incoming.find((flow) => flow.name === name) ?? []);
  const outputs = flows.map((flow, f) => ({ flow, f })).filter(({ flow }) => flow.from === index);
  const widthOf = (side: readonly Flow[]) => Math.max(0, ...side.map(({ name }) => textWidth(name, nameSize, "mono")));
  const inner = widthOf(inputs.filter((flow) => !isJoined(flow))) + widthOf(outputs.map(({ flow }) => flow)) + 26;
  const lines = wrapText(title, 18);
  const refs = block ? refLines(block) : [];
  const width = Math.ceil(
    Math.max(84, inner, ...lines.map((line) => textWidth(line, titleSize, "sans") + 16)) + 2 * stub,
  );
  const head = 8 + lines.length * 15 + refs.length * 13 + 3;
  const rows = Math.max(inputs.length, outputs.length);
  const y = (row: number) => Math.round(head + (row + 0.5) * pitch);
  return {
    title: lines,
    refs,
    width,
    height: head + rows * pitch + 6,
    left: inputs.map((flow, row) => ({
      flow,
      port: { id: `${index} in ${flows.indexOf(flow)}`, side: "left", y: y(row) },
    })),
    right: outputs.map(({ flow, f }, row) => ({ flow, port: { id: `${index} out ${f}`, side: "right", y: y(row) } })),
  };
}

function refLines({ chips }: Block): string[] {
  return wrapText(refRanges(chips.map(({ ref }) => ref)), 20).filter((line) => line !== "");
}

function paint(sheet: Sheet, block: Drawn, x: number, y: number, isOutside: boolean): void {
  const { title, refs, width, height, left, right } = block;
  const box = { x: x + stub, y, width: width - 2 * stub, height };
  sheet.rect(box, isOutside ? "body dashed" : "body");
  title.forEach((line, i) =>
    sheet.text(x + width / 2, y + 15 + i * 15, line, { anchor: "middle", size: titleSize, class: "heavy" }),
  );
  refs.forEach((line, i) =>
    sheet.text(x + width / 2, y + 15 + title.length * 15 + i * 13 - 2, line, {
      anchor: "middle",
      size: nameSize,
      class: "quiet",
    }),
  );
  for (const { flow, port } of left) {
    const at = y + port.y;
    const edge = x + stub;
    sheet.line(x, at, edge - 5, at, isOneBus(flow.name) ? "bus" : "thin");
    sheet.path(
      [
        [edge - 6, at - 3],
        [edge, at],
        [edge - 6, at + 3],
      ],
      "solid",
      true,
    );
    // A line that can be followed has its name where it begins.
    if (!isJoined(flow)) sheet.text(edge + 5, at + 3.4, flow.name, { face: "mono", size: nameSize });
  }
  for (const { flow, port } of right) {
    const at = y + port.y;
    const edge = x + width - stub;
    sheet.line(edge, at, x + width, at, isOneBus(flow.name) ? "bus" : "thin");
    sheet.text(edge - 5, at + 3.4, flow.name, { anchor: "end", face: "mono", size: nameSize });
  }
}
