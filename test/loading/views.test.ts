import { beforeEach, describe, expect, test } from "vitest";
import {
  type Layer,
  type MappedScreen,
  type NextView,
  Views,
  fillScreen,
  hiddenPage,
  learnWritePath,
  powerScreen,
  scrolled,
  writeC,
} from "../../src/loading/index.js";
import type { WritePath } from "../../src/loading/transfer/write-path.js";
import { type Picture, drawTestCard } from "../../src/raster/index.js";
import { BeamScreen, type MachineState, ownPicture } from "../../src/simulation/index.js";
import { netOf } from "../support/build-circuit.js";
import { filledBoard, movingProcessor, parallelProcessor } from "./boards.js";
import { play, runC } from "./run-c.js";

const circuit = filledBoard({ moves: true, swapped: true, processor: movingProcessor() });
const running = powerScreen(circuit);
if ("problem" in running) throw new Error(running.problem);
const { machine, raster } = running;
const path = learnWritePath(machine, raster) as WritePath;
const views = Views.find(running, path) as Views;
const name = (net: number) => circuit.nets[net]?.name;

describe("the register that says what is shown", () => {
  test("is found: its lines, and the level that tells it from the memory", () => {
    expect(path.stages.map(({ held }) => [...held].map(([net, level]) => [name(net), level]))).toEqual([[["S", 0]]]);
    const [stage] = views.way.stages;
    expect([...(stage?.held ?? [])].map(([net, level]) => [name(net), level])).toEqual([["S", 1]]);
    const lines = views.way.address.map((source) => (source.kind === "line" ? name(source.net) : source.level));
    expect(lines).toEqual(["PD0", "PD1", "PD2", "PD3", "PD4", "PD5"]);
  });

  test("moves the picture by a row for each of its five low bits, round a ring of 32 rows, and turns the page by the sixth", () => {
    expect(views.movedBy(0, 1)).toBe(1);
    expect(views.movedBy(7, 4)).toBe(-3);
    expect(views.movedBy(31, 0)).toBe(1);
    expect(views.movedBy(0, 32)).toBeUndefined();
    expect(views.movedUp(30, 4)).toEqual([31, 0, 1, 2]);
  });

  test("has a word of the memory at another dot with each number: each is asked of the circuit", () => {
    const byRow = [0, 5].map((number) => {
      const screen = views.mapAt(number);
      if ("problem" in screen) throw new Error(screen.problem);
      expect(screen.map.found).toBe(1);
      return screen.map.nets[0]?.ram ?? new Int32Array(0);
    });
    const [first, fifth] = byRow;
    // 40 dots a row: what row 5 shows with 0 row 0 shows with 5.
    expect(fifth?.slice(0, 25 * 40)).toEqual(first?.slice(5 * 40));
  });

  test("is not found where every pulse writes the memory", () => {
    const other = powerScreen(filledBoard({ processor: parallelProcessor() }));
    if ("problem" in other) throw new Error(other.problem);
    expect(Views.find(other, learnWritePath(other.machine, raster) as WritePath)).toBeUndefined();
  });
});

/** Runs to the first line of vertical blanking, 480: L5 to L8 all high. */
function toBlanking(): void {
  const nets = ["L5", "L6", "L7", "L8"].map((net) => netOf(circuit, net).id);
  const isBlank = () => nets.every((net) => machine.valueOf(net) === 1);
  while (isBlank()) machine.run(machine.now + 5e9);
  while (!isBlank()) machine.run(machine.now + 5e9);
}

describe("what the C does while the screen is watched", () => {
  const card: Layer = { kind: "test card" };
  let shown: MappedScreen;
  let before: MachineState;
  const ram = path.ram;
  const old = Uint8Array.from({ length: 512 }, (_, address) => (address * 37) & 0xff);

  beforeEach(() => {
    const screen = views.mapAt(3);
    if ("problem" in screen) throw new Error(screen.problem);
    shown = screen;
    machine.load(ram, old);
    before = machine.save();
  });

  /** The picture of the next whole frame. */
  function seen(): Picture {
    if (!circuit.picture) throw new Error("no picture");
    const screen = new BeamScreen(machine, circuit.picture, { raster, pixel: raster.h.active / 40 });
    screen.runFrame();
    const monitor = screen.runFrame();
    if (!monitor.locked) throw new Error(monitor.detail);
    const own = ownPicture({ ...monitor, displacement: shown.map.displacement }, raster, screen.record, shown.map);
    if (!own) throw new Error("no picture");
    return own.picture;
  }

  /** Plays what is next, and gives the picture of every frame in which the register is set. */
  async function playNext(next: NextView, layers: readonly Layer[]): Promise<readonly Picture[]> {
    const incoming = next.incoming.get(ram) ?? new Uint8Array(0);
    const start = next.rows === undefined ? old : old.map((byte, at) => (incoming[at] === 1 ? 0 : byte));
    const { contents } = await fillScreen(next.screen, layers, { before: new Map([[ram, start]]) });
    const image = contents.get(ram) ?? new Uint8Array(0);
    const bytes = [...image.keys()]
      .filter((at) => incoming[at] === 1)
      .map((address) => ({ address, byte: image[address] ?? 0 }));
    const source = writeC(circuit, path, bytes, {
      title: "what is next",
      view: { way: next.way, numbers: next.numbers, comes: next.isHidden ? "behind" : "before" },
    });
    machine.restore(before);
    const frames: Picture[] = [];
    play(machine, runC(circuit, source), () => {
      frames.push(seen());
      toBlanking();
    });
    frames.push(seen());
    return frames;
  }

  /** Rows as text. */
  const rowsOf = ({ dots, width }: Picture, from = 0, to = 30) =>
    Array.from({ length: to - from }, (_, row) =>
      dots.subarray((from + row) * width, (from + row + 1) * width).join(""),
    );

  test("fills the page that is out of sight, and shows it whole: the page before, then the new one", async () => {
    const next = hiddenPage(views, shown, 3);
    if ("problem" in next) throw new Error(next.problem);
    expect(next.numbers).toEqual([3 + 32]);
    machine.restore(before);
    const first = seen();
    const [atSwap, after] = await playNext(next, [card]);
    expect(rowsOf(atSwap as Picture)).toEqual(rowsOf(first));
    expect(rowsOf(after as Picture)).toEqual(rowsOf(drawTestCard(40, 30, 1)));
  });

  test.each([
    { rows: 1, isSmooth: false, numbers: [4], isHidden: true, what: "a row up, out of sight" },
    { rows: 2, isSmooth: true, numbers: [4, 5], isHidden: true, what: "two rows up, step by step" },
    { rows: 3, isSmooth: false, numbers: [6], isHidden: false, what: "three rows up, of which the ring hides two" },
    { rows: -2, isSmooth: false, numbers: [1], isHidden: true, what: "two rows down" },
  ])(
    "moves the picture and writes only the rows that come in: $what",
    async ({ rows, isSmooth, numbers, isHidden }) => {
      const next = scrolled(views, shown, 3, { rows, isSmooth });
      if ("problem" in next) throw new Error(next.problem);
      expect(next).toMatchObject({ numbers, isHidden });
      // Five of a row's eight bytes are shown.
      expect(next.incoming.get(ram)?.reduce((sum, is) => sum + is, 0)).toBe(Math.abs(rows) * 5);
      machine.restore(before);
      const first = seen();
      const place = { x: 0, y: rows > 0 ? 30 - rows : 0, width: 40, height: Math.abs(rows) };
      const frames = await playNext(next, [{ kind: "fill", colour: 1, place }]);
      const last = frames.at(-1) as Picture;
      expect(rowsOf(frames[0] as Picture)).toEqual(rowsOf(first));
      const lit = Array.from({ length: Math.abs(rows) }, () => "1".repeat(40));
      const moved = rows > 0 ? [...rowsOf(first, rows), ...lit] : [...lit, ...rowsOf(first, 0, 30 + rows)];
      expect(rowsOf(last)).toEqual(moved);
      // The steps between: what comes in is there already, so that the rows above tell how far the picture has moved.
      const steps = frames.slice(1, -1).map((frame) => rowsOf(frame, 0, 28));
      expect(steps).toEqual(numbers.slice(0, -1).map((number) => rowsOf(first, number - 3, 28 + number - 3)));
    },
  );
});
