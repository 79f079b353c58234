import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { fs, ns } from "../../src/quantity/index.js";
import type { Bracket, CycleDrawing, LaneLevel, PathStep } from "../../src/paper/cycle-drawing.js";
import { standaloneSvg } from "../../src/paper/sheet.js";
import { drawCycle } from "../../src/paper/timing-drawing.js";
import { timingRows, timingTable } from "../../src/paper/timing-table.js";
import { lane, memoryCycle } from "./cycle-fixture.js";
import { overlaps } from "./overlaps.js";

const span = ns(400);

function oneLane(parts: Parameters<typeof lane>[3], more: Partial<CycleDrawing> = {}): CycleDrawing {
  return {
    title: "One lane",
    span,
    ticks: [fs(0), ns(200), span],
    lanes: [lane("NET", "signal", span, parts)],
    brackets: [],
    ...more,
  };
}

/** The `d` of every path of a class. */
function pathsOf(svg: string, style: string): string[] {
  return [...svg.matchAll(/<path class="([^"]*)" d="([^"]*)"/g)].flatMap(([, found, d]) =>
    found === style ? [d ?? ""] : [],
  );
}

function hatchCount(svg: string): number {
  return svg.match(/fill="url\(#cycle-hatch\)"/g)?.length ?? 0;
}

/** One hatched swatch stands in the key, and one hatched edge. */
const hatchesInKey = 2;

describe("the drawing of a memory cycle", () => {
  test("is the same text every time", async () => {
    await expect(standaloneSvg(drawCycle(memoryCycle).svg)).toMatchFileSnapshot("drawings/memory-cycle.svg");
  });

  test("has no label on another", () => {
    expect(overlaps(drawCycle(memoryCycle).labels)).toEqual([]);
  });

  test.each([700, 900, 1600])("has no label on another at a width of %i px, and none outside", (width) => {
    const { labels } = drawCycle(memoryCycle, "cycle", width);
    expect(overlaps(labels)).toEqual([]);
    for (const { x, width: wide } of labels) {
      expect(x).toBeGreaterThanOrEqual(0);
      expect(x + wide).toBeLessThanOrEqual(width);
    }
  });

  test("speaks for itself: title, lanes and margins in its description", () => {
    const svg = drawCycle(memoryCycle).svg.text;
    expect(svg).toContain('<title id="cycle-title">Memory cycle of a tide board, 635.55 ns</title>');
    expect(svg).toContain("RAM_WE# +51.2 ns");
    expect(svg).toContain('role="img"');
  });

  test("writes a net's name and never runs it as markup", () => {
    const drawing = oneLane([0], { lanes: [lane("<b>&", "signal", span, [0])] });
    expect(drawCycle(drawing).svg.text).toContain("&lt;b&gt;&amp;");
    expect(drawCycle(drawing).svg.text).not.toContain("<b>");
  });
});

describe("an edge", () => {
  test("is two slanted lines with hatching between, from the earliest to the latest moment", () => {
    const svg = drawCycle(oneLane([0, [100, 300], 1])).svg.text;
    const plot = { left: 82, right: 1170 };
    const at = (time: number) => plot.left + ((plot.right - plot.left) * time) / 400;
    const slanted = pathsOf(svg, "ink").filter((d) => {
      const [, y1, , y2] = d.match(/[\d.]+/g) ?? [];
      return y1 !== y2 && !d.includes("L", d.indexOf("L") + 1) && d.startsWith(`M${Number(at(100).toFixed(2))} `);
    });
    expect(slanted).toHaveLength(1);
    expect(pathsOf(svg, "ink").some((d) => d.includes(`L${Number(at(300).toFixed(2))} `))).toBe(true);
    expect(hatchCount(svg)).toBe(hatchesInKey + 1);
  });

  test("without any uncertainty is one line and no hatching", () => {
    expect(hatchCount(drawCycle(oneLane([0, [200, 200], 1])).svg.text)).toBe(hatchesInKey);
  });
});

test("what may change at any moment is hatched", () => {
  expect(hatchCount(drawCycle(oneLane(["may change"])).svg.text)).toBe(hatchesInKey + 1);
});

test("where nothing drives there is a thin line at half height", () => {
  const svg = drawCycle(oneLane(["z"])).svg.text;
  const full = pathsOf(drawCycle(oneLane(["steady"])).svg.text, "ink").filter((d) => d.startsWith("M82 "));
  const heights = full.map((d) => Number(d.split(" ")[1]?.split("L")[0])).filter((y) => y > 45 && y < 100);
  const middle = heights.reduce((sum, y) => sum + y, 0) / heights.length;
  expect(pathsOf(svg, "thin")).toContain(`M82 ${middle}L1170 ${middle}`);
});

test("a failing margin is a filled bar with a triangle, a holding one an outline with a circle", () => {
  const bracket: Bracket = { lane: "NET", from: ns(100), to: ns(200), label: "−3 ns", kind: "margin", state: "fails" };
  const fails = drawCycle(oneLane([0], { brackets: [bracket] })).svg.text;
  expect(fails).toMatch(/<rect class="fails-solid"/);
  expect(pathsOf(fails, "fails-solid").filter((d) => d.endsWith("Z"))).toHaveLength(1);
  const holds = drawCycle(oneLane([0], { brackets: [{ ...bracket, state: "holds" }] })).svg.text;
  expect(holds).toMatch(/<circle class="holds"/);
  expect(holds).not.toContain('fails-solid"');
});

describe("any drawing", { timeout: 60_000 }, () => {
  const level = fc.constantFrom<LaneLevel[]>(0, 1, "z", "steady", "may change");
  const moment = fc.integer({ min: 0, max: 400 });
  const text = fc.string({ minLength: 1, maxLength: 40 }).filter((s) => s.trim() !== "");
  const laneOf = fc
    .record({
      kind: fc.constantFrom("clock", "signal", "bus", "owner"),
      levels: fc.array(fc.tuple(level, text), { minLength: 1, maxLength: 6 }),
      cuts: fc.array(moment, { minLength: 12, maxLength: 12 }),
    })
    .map(({ kind, levels, cuts }) => {
      const times = [...cuts].sort((a, b) => a - b);
      const parts = levels.flatMap(([value, label], i) => {
        const cut = [times[2 * i] ?? 0, times[2 * i + 1] ?? 0] as const;
        return i === 0 ? [[value, label] as const] : [cut, [value, label] as const];
      });
      return { kind, parts };
    });
  const drawing = fc
    .record({
      lanes: fc.array(laneOf, { minLength: 1, maxLength: 4 }),
      brackets: fc.array(
        fc.record({
          lane: fc.nat(3),
          a: moment,
          b: moment,
          label: text,
          kind: fc.constantFrom("required", "available", "margin"),
        }),
        { maxLength: 12 },
      ),
      path: fc.array(fc.record({ from: fc.nat(3), to: fc.nat(3), a: moment, b: moment, label: text }), {
        maxLength: 5,
      }),
    })
    .map(({ lanes, brackets, path }): CycleDrawing => {
      const name = (i: number) => `L${i % lanes.length}`;
      const ordered = (a: number, b: number) => [ns(Math.min(a, b)), ns(Math.max(a, b))] as const;
      return {
        title: "Any",
        span,
        ticks: [fs(0), ns(100), ns(200), ns(300), span],
        lanes: lanes.map(({ kind, parts }, i) => lane(name(i), kind, span, parts)),
        brackets: brackets.map(({ lane: i, a, b, label, kind }): Bracket => {
          const [from, to] = ordered(a, b);
          return { lane: name(i), from, to, label, kind };
        }),
        path: path.map(({ from: i, to: j, a, b, label }): PathStep => {
          const [from, to] = ordered(a, b);
          return { fromLane: name(i), toLane: name(j), from, to, label };
        }),
      };
    });

  test("has no label on another and none outside of the sheet", () => {
    fc.assert(
      fc.property(drawing, (any) => {
        const { labels } = drawCycle(any);
        expect(overlaps(labels)).toEqual([]);
        for (const { x, width } of labels) expect(x >= 0 && x + width <= 1200).toBe(true);
      }),
    );
  });

  test("has every lane, bracket and step in its table", () => {
    fc.assert(
      fc.property(drawing, (any) => {
        const rows = timingRows(any);
        const expected = any.lanes.reduce((sum, { segments, edges }) => sum + segments.length + edges.length, 0);
        expect(rows).toHaveLength(expected + any.brackets.length + (any.path ?? []).length);
      }),
    );
  });
});

test("the table says in words what the drawing shows", () => {
  const html = timingTable(memoryCycle).text;
  expect(html).toContain(
    '<th scope="row" class="mono">address owner</th><td class="number">78.0</td><td class="number">328.8</td><td>owned: screen</td>',
  );
  expect(html).toContain("<td>changes from owned to nobody</td>");
  expect(html).toContain("<td>required: set-up 25 ns</td>");
  expect(html).toContain("<td>after SLOT: U12 OE# to Y 47 ns</td>");
});
