import { describe, expect, test } from "vitest";
import type { Circuit } from "../../src/circuit/circuit.js";
import { fillScreen } from "../../src/loading/fill/compose.js";
import { type MappedScreen, mapScreen } from "../../src/loading/mapping/screen.js";
import { showScreen } from "../../src/loading/show.js";
import { writeC } from "../../src/loading/transfer/c-source.js";
import { isForBlanking, landingOf } from "../../src/loading/transfer/landing.js";
import { learnWritePath } from "../../src/loading/transfer/learn.js";
import { numberingOf, renumbered } from "../../src/loading/transfer/numbering.js";
import { bestOrder } from "../../src/loading/transfer/order.js";
import { playAll } from "../../src/loading/transfer/play.js";
import { rateOf } from "../../src/loading/transfer/rate.js";
import { type SentByte, Sender } from "../../src/loading/transfer/sender.js";
import type { WritePath } from "../../src/loading/transfer/write-path.js";
import { drawTestCard } from "../../src/raster/index.js";
import { type MachineState, powerUpMachine } from "../../src/simulation/index.js";
import { openBoard } from "../examples/board.js";
import { netOf } from "../support/build-circuit.js";
import {
  type FilledBoardOptions,
  busProcessor,
  filledBoard,
  latchedProcessor,
  parallelProcessor,
  serialProcessor,
} from "./boards.js";
import { play, runC, runMemoryC } from "./run-c.js";

interface Prepared {
  readonly circuit: Circuit;
  readonly screen: MappedScreen;
  readonly path: WritePath;
  readonly bytes: readonly SentByte[];
  readonly state: MachineState;
}

const prepared = new Map<string, Promise<Prepared>>();

/** A board whose memory is to be filled with a test card, and holds something else. */
async function prepare({ way, processor }: (typeof ways)[number]): Promise<Prepared> {
  const known = prepared.get(way) ?? begin(processor);
  prepared.set(way, known);
  const { screen, path, bytes, state } = await known;
  screen.machine.restore(state);
  screen.machine.load(path.ram, new Uint8Array(bytes.length).fill(0x5a));
  return known;
}

async function begin(processor: FilledBoardOptions["processor"]): Promise<Prepared> {
  const circuit = filledBoard({ swapped: true, ...(processor && { processor }) });
  const screen = mapScreen(circuit);
  if ("problem" in screen) throw new Error(screen.problem);
  const path = learnWritePath(screen.machine, screen.raster);
  if ("problem" in path) throw new Error(path.problem);
  const { contents } = await fillScreen(screen, [{ kind: "test card" }]);
  const image = contents.get(path.ram) ?? new Uint8Array(0);
  const state = screen.machine.save();
  return { circuit, screen, path, state, bytes: Array.from(image, (byte, address) => ({ address, byte })) };
}

const overLatch = { way: "a bus in turn for address and data, with a latch", processor: latchedProcessor() };
const onBus = { way: "a bus that the board clocks, with lines swapped", processor: busProcessor({ swapped: true }) };
const ways = [
  { way: "a bus of its own, with lines swapped", processor: parallelProcessor({ swapped: true }) },
  overLatch,
  { way: "a chain of shift registers", processor: serialProcessor() },
];

describe("a byte's way into the memory", () => {
  test("is found for the tide board: one rise of WR#, every address and data line straight", () => {
    const circuit = openBoard("tide-board");
    const { machine, raster } = powerUpMachine(circuit);
    if (!raster) throw new Error("no raster");
    const path = learnWritePath(machine, raster);
    if ("problem" in path) throw new Error(path.problem);
    expect(path.stages).toMatchObject([
      { strobe: { net: netOf(circuit, "WR#").id, rest: 1, edge: "rise" }, pulses: 1 },
    ]);
    const from = (stem: string, count: number) =>
      Array.from({ length: count }, (_, bit) => ({ net: netOf(circuit, `${stem}${bit}`).id, inverted: false }));
    expect(path.address).toMatchObject(from("PA", 15));
    expect(path.data).toMatchObject(from("PD", 8));
    // 2.6 us from rise to rise, as the circuit file asks: 384 615 bytes a second, and 14 336 bytes of a screen in 37.3 ms.
    const bytes = Array.from({ length: 1000 }, (_, address) => ({ address, byte: address & 0xff }));
    const rate = rateOf(circuit, raster, [{ path, bytes }]);
    expect(rate.byteFs / 1e6).toBeCloseTo(2600, 0);
    // 45 lines of blanking of 31.778 us hold 1430.0 us / 2.6 us.
    expect(rate.perBlanking).toBe(Math.floor((45 * (800 / 25.175)) / (rate.byteFs / 1e9)));
  });

  test.each([...ways, onBus])("is found for $way, and what is sent on it shows the picture", async (way) => {
    const { screen, path, bytes } = await prepare(way);
    playAll(screen.machine, path, bestOrder(path, bytes), 1e9);
    expect(showScreen(screen, new Map()).picture?.dots).toEqual(drawTestCard(40, 30, 1).dots);
  });

  test("over a bus that the board clocks takes a cycle for each byte, and no pulse but that of its clock", async () => {
    const { circuit, screen, path, bytes } = await prepare(onBus);
    const name = (net: number) => circuit.nets[net]?.name;
    const [stage, another] = path.stages;
    expect(another).toBeUndefined();
    expect(name(stage?.strobe.net ?? -1)).toBe("C0");
    expect([...(stage?.held ?? [])].map(([net, level]) => [name(net), level])).toEqual([
      ["RW#", 0],
      ["SELECT#", 0],
    ]);
    // A cycle is two counts of 16 / 25.175 MHz.
    const rate = rateOf(circuit, screen.raster, [{ path, bytes }]);
    expect(rate.byteFs / 1e6).toBeCloseTo((2 * 16_000) / 25.175, 1);
    // While bytes follow each other RW# and SELECT# stay low.
    const controls = new Set(circuit.nets.filter((net) => ["RW#", "SELECT#"].includes(net.name)).map(({ id }) => id));
    const sender = new Sender(circuit, path);
    for (const one of bytes.slice(0, 10)) sender.send(one);
    expect(
      sender
        .take()
        .filter(({ net }) => controls.has(net))
        .map(({ level }) => level),
    ).toEqual([0, 0, 1, 1]);
  });

  test("that is open in vertical blanking alone is found, and told to be so", () => {
    for (const blankingOnly of [false, true]) {
      const circuit = filledBoard({ processor: parallelProcessor({ blankingOnly }) });
      const { machine, raster } = powerUpMachine(circuit);
      if (!raster) throw new Error("no raster");
      machine.run(machine.now + 17e12);
      const path = learnWritePath(machine, raster);
      if ("problem" in path) throw new Error(path.problem);
      const landing = landingOf(circuit, machine, raster, path);
      if (!landing) throw new Error("no monitor locks");
      const { inPicture, inBlanking } = landing;
      expect(inBlanking.sent).toBeGreaterThan(0);
      expect(inBlanking.landed).toBe(inBlanking.sent);
      expect(inPicture.landed).toBe(blankingOnly ? 0 : inPicture.sent);
      expect(isForBlanking(landing)).toBe(blankingOnly);
    }
  });

  test("over a latch takes less time when bytes go in the latch's order", async () => {
    const { circuit, screen, path } = await prepare(overLatch);
    // Two bytes to each of eight addresses, by turns.
    const bytes = Array.from({ length: 16 }, (_, index) => ({ address: index & 7, byte: index }));
    const [plain, best] = [bytes, bestOrder(path, bytes)].map((order) =>
      rateOf(circuit, screen.raster, [{ path, bytes: order }]),
    );
    // Each byte takes a repeat time of 400 ns, and so does each change of the latch: 16 of them or 8.
    expect(((plain?.timeFs ?? 0) - (best?.timeFs ?? 0)) / 4e8).toBeCloseTo(8, 3);
    expect((best?.byteFs ?? 0) / 1e6).toBeCloseTo((23 * 400 - 400) / 15, 0);
  });
});

describe("the C source", () => {
  test("for the processor of a bus stores every byte where its own lines have it", async () => {
    const { circuit, path, bytes } = await prepare(onBus);
    const numbering = numberingOf(circuit, path);
    if (!numbering) throw new Error("no numbering");
    expect(numbering.address).toEqual([7, 6, 5, 4, 3, 2, 1, 0]);
    const stored = runMemoryC(writeC(circuit, path, bytes, { title: "a test card" }), bytes.length);
    const image = Uint8Array.from(bytes, ({ byte }) => byte);
    expect(stored).toEqual(renumbered({ bytes: image }, numbering).bytes);
    expect(stored).not.toEqual(image);
  });

  test.each(ways)("compiles without a warning, and its pin changes show the picture: $way", async (way) => {
    const { circuit, screen, path, bytes } = await prepare(way);
    const source = writeC(circuit, path, bestOrder(path, bytes), { title: "a test card" });
    play(screen.machine, runC(circuit, source));
    expect(showScreen(screen, new Map()).picture?.dots).toEqual(drawTestCard(40, 30, 1).dots);
  });
});
