import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Circuit, formatProblem, readCircuit, remarksOf } from "../../../src/circuit/index.js";
import {
  type Block,
  blockDiagram,
  blocksOf,
  pinDiagram,
  type PinSheet,
  supplyPins,
} from "../../../src/paper/diagram/index.js";
import { boardFrom, harbourLamp } from "../board-fixture.js";
import { overlaps } from "../overlaps.js";
import { sixtyChips } from "./sixty-chips.js";

const bundled = readdirSync("examples").filter((name) => name.endsWith(".circuit.yaml"));

function open(name: string): { circuit: Circuit; blocks: Block[] } {
  const text = readFileSync(`examples/${name}`, "utf8");
  const { circuit, problems } = readCircuit(text, name);
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return { circuit, blocks: blocksOf(circuit, remarksOf(text).headings) };
}

/** What the drawing's lines say of themselves: `U1 3` to `DOT`, every time that a pin is drawn. */
function drawnPins(sheets: readonly PinSheet[]): string[] {
  return sheets.flatMap(({ svg }) =>
    [...svg.text.matchAll(/data-pin="([^"]*)" data-net="([^"]*)"/g)]
      .map(([, pin, net]) => `${pin}: ${net?.replaceAll("&#39;", "'")}`)
      .filter((line) => / \d+: /.test(line)),
  );
}

/** Every pin of every package with what it is on, as the circuit has it. */
function pinsOf(circuit: Circuit): string[] {
  return circuit.chips.flatMap((chip) =>
    chip.part.package.pins.flatMap(({ number, name }) => {
      const role = chip.part.behaviour.pins.find((pin) => pin.name === name)?.role;
      if (role === "supply") return [`${chip.ref} ${number}: supply`];
      if (role === "ground") return [`${chip.ref} ${number}: 0 V`];
      if (role === "unconnected") return [`${chip.ref} ${number}: not connected`];
      const net = chip.nets.get(name);
      const words = net?.rail === "low" ? "0 V" : net?.rail === "high" ? "supply" : (net?.name ?? "open");
      return [`${chip.ref} ${number}: ${words}`];
    }),
  );
}

/** A rail by its voltage and by its name is the same. */
function plain(lines: readonly string[]): string[] {
  return lines.map((line) => line.replace(/: \+[\d.]+ V.*$/, ": supply").replace(/: 0 V rail$/, ": 0 V")).sort();
}

function meets(
  a: { x: number; y: number; width: number; height: number },
  b: { x: number; y: number; width: number; height: number },
): boolean {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

function checkSheets(circuit: Circuit, sheets: readonly PinSheet[]): void {
  const supply = supplyPins(circuit).flatMap(({ chip, pins }) =>
    pins.map(({ number, net }) => `${chip} ${number}: ${net}`),
  );
  expect(plain([...drawnPins(sheets), ...supply])).toEqual(plain(pinsOf(circuit)));
  for (const { number, labels, frames, lines, width, height } of sheets) {
    expect([number, overlaps(labels)]).toEqual([number, []]);
    const pairs = frames.flatMap((a, i) =>
      frames
        .slice(i + 1)
        .filter((b) => meets(a, b))
        .map((b) => `${a.key} on ${b.key}`),
    );
    expect([number, pairs]).toEqual([number, []]);
    const struck = lines.flatMap((points) =>
      points.slice(1).flatMap(([x2, y2], i) => {
        const [x1, y1] = points[i] ?? [x2, y2];
        const box = { x: Math.min(x1, x2), y: Math.min(y1, y2), width: Math.abs(x2 - x1), height: Math.abs(y2 - y1) };
        return frames.filter((frame) => meets(inside(frame), box)).map(({ key }) => key);
      }),
    );
    expect([number, struck]).toEqual([number, []]);
    const outside = labels.filter(
      (l) => l.x < -0.5 || l.y < -0.5 || l.x + l.width > width + 0.5 || l.y + l.height > height + 0.5,
    );
    expect([number, outside.map(({ text }) => text)]).toEqual([number, []]);
  }
}

/** A line ends at a frame's edge and may run along it. */
function inside({ x, y, width, height }: PinSheet["frames"][number]) {
  return { x: x + 1, y: y + 1, width: width - 2, height: height - 2 };
}

/** The sheets that references name are those on which the net, or a net of the bus, has other pins. */
function checkReferences(sheets: readonly PinSheet[]): void {
  const netsOn = sheets.map(
    ({ svg }) => new Set([...svg.text.matchAll(/data-net="([^"]*)"/g)].map(([, net]) => net?.replaceAll("&#39;", "'"))),
  );
  const namedBy = (name: string) => {
    const [, stem, first, last] = /^(.*)\[(\d+)\.\.(\d+)\]$/.exec(name) ?? [];
    if (stem === undefined) return [name];
    const [from, to] = [Number(first), Number(last)].sort((a, b) => a - b) as [number, number];
    return Array.from({ length: to - from + 1 }, (_, i) => `${stem}${from + i}`);
  };
  let checked = 0;
  for (const { number, labels } of sheets) {
    for (const [i, { text }] of labels.entries()) {
      const [, list] = /^(?:to|from|with) (\d+(?:, \d+)*)$/.exec(text) ?? [];
      const nets = namedBy(labels[i - 1]?.text ?? "");
      // A line of a chip's note may read like a reference.
      if (list === undefined || !nets.some((net) => netsOn[number - 1]?.has(net))) continue;
      checked++;
      for (const other of list.split(", ").map(Number)) {
        expect(other).not.toBe(number);
        expect([text, nets, nets.some((net) => netsOn[other - 1]?.has(net))]).toEqual([text, nets, true]);
      }
    }
  }
  expect(checked).toBeGreaterThanOrEqual(sheets.length - 1);
}

describe.each(bundled)("the diagrams of %s", (name) => {
  const { circuit, blocks } = open(name);

  test("show every pin of every chip once with its net, and no text or symbol on another", async () => {
    const sheets = await pinDiagram(circuit, blocks);
    checkSheets(circuit, sheets);
    checkReferences(sheets);
    const diagram = await blockDiagram(circuit, blocks);
    expect(overlaps(diagram.labels)).toEqual([]);
    expect(diagram.blocks.map(({ title }) => title)).toEqual(expect.arrayContaining(blocks.map(({ title }) => title)));
  });
});

describe("the diagrams of 60 chips without headings", { timeout: 120_000 }, () => {
  const circuit = sixtyChips();

  test("fall into blocks by what the chips do", () => {
    const blocks = blocksOf(circuit);
    expect(circuit.chips).toHaveLength(60);
    expect(blocks.map(({ title }) => title)).toEqual([
      "Clock",
      "Counters",
      "Decoding",
      "Registers and control",
      "Address owners",
      "Memory",
    ]);
  });

  test("can be read on sheets of A4, are complete, and are the same every time", async () => {
    const sheets = await pinDiagram(circuit, blocksOf(circuit));
    checkSheets(circuit, sheets);
    checkReferences(sheets);
    // 9.5 px at 273 mm across: more than 1.6 mm from the top of a capital to the bottom of a g.
    for (const { width, height } of sheets) expect(Math.max(width / 1032, height / 605)).toBeLessThan(1.3);
    const [again] = await pinDiagram({ ...circuit, chips: circuit.chips.slice(0, 13) }, [
      { title: "Counters", chips: circuit.chips.slice(0, 13), passives: [] },
    ]);
    const [once] = await pinDiagram({ ...circuit, chips: circuit.chips.slice(0, 13) }, [
      { title: "Counters", chips: circuit.chips.slice(0, 13), passives: [] },
    ]);
    expect(again?.svg.text).toBe(once?.svg.text);
  });
});

describe("a pin-level diagram", () => {
  const circuit = boardFrom(harbourLamp);

  test("says where a net that leaves its sheet goes on", async () => {
    const sheets = await pinDiagram(circuit, [
      { title: "All but the video", chips: circuit.chips.slice(0, -1), passives: [] },
      { title: "Video", chips: circuit.chips.slice(-1), passives: [] },
    ]);
    const [first, second] = sheets.map(({ labels }) => labels.map(({ text }) => text));
    expect(sheets.map(({ titles }) => titles)).toEqual([["All but the video"], ["Video"]]);
    expect(first).toContain("from outside");
    expect(first?.[first.indexOf("OSC") + 1]).toBe("to 2");
    expect(second?.[second.indexOf("VA0") + 1]).toBe("from 1");
    expect(second?.[second.indexOf("VSYNC") + 1]).toBe("to the monitor");
  });

  test("draws the gates of a chip as symbols of their own, with the signs of IEC 60617-12", async () => {
    const sheets = await pinDiagram(circuit, blocksOf(circuit));
    const texts = sheets.flatMap(({ labels }) => labels.map(({ text }) => text));
    expect(texts.filter((text) => text === "&")).toHaveLength(4);
    expect(texts).toContain("74HC00, 4 of 4");
    expect(texts.filter((text) => text === "CTRDIV16")).toHaveLength(2);
    expect(texts).toContain("G");
  });

  test("is drawn the same every time", async () => {
    const [sheet] = await pinDiagram(circuit, blocksOf(circuit));
    await expect(sheet?.svg.text).toMatchFileSnapshot("../drawings/harbour-lamp-pins.svg");
    const { svg } = await blockDiagram(circuit, blocksOf(circuit));
    await expect(svg.text).toMatchFileSnapshot("../drawings/harbour-lamp-blocks.svg");
  });
});
