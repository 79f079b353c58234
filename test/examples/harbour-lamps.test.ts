import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Circuit, formatProblem, readCircuit } from "../../src/circuit/index.js";
import { judge, silentProgress } from "../../src/judging/index.js";
import { pinMaps } from "../../src/paper/pin-map.js";
import { partsList } from "../../src/paper/parts-list.js";
import { wiringList } from "../../src/paper/wiring-list.js";
import { fs, inNs, ns } from "../../src/quantity/index.js";
import { Simulator, chooseDelays, compileTables, planInputs } from "../../src/simulation/index.js";
import { prove } from "../../src/timing/index.js";
import { netOf } from "../support/build-circuit.js";
import { verdictOf } from "../timing/verdict-fixture.js";

const file = "examples/harbour-lamps.circuit.yaml";
const text = readFileSync(new URL(`../../${file}`, import.meta.url), "utf8");
const reading = readCircuit(text, file);

function board(): Circuit {
  const { circuit, problems } = reading;
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

test("the harbour lamps are read with one remark: there is no picture", () => {
  expect(reading.problems.map(({ code }) => code)).toEqual(["no-picture"]);
});

describe("the harbour lamps, proved", () => {
  const proof = prove(board());

  test("hold in every rule", () => {
    expect(proof.verdicts.filter(({ state }) => state !== "holds").map(({ name }) => name)).toEqual([]);
  });

  test("hold in every electrical rule too, so that the whole board does", async () => {
    const { electrical, holds } = await judge(board(), silentProgress);
    expect(electrical.verdicts.filter(({ state }) => state !== "holds").map(({ name }) => name)).toEqual([]);
    expect(holds).toBe(true);
  });

  test("need the resistors of the data bus, which floats between the processor's cycles", async () => {
    const bare = text.replace(/ {2}R[2-9]: .*\n/g, "");
    const { circuit } = readCircuit(bare, file);
    if (!circuit) throw new Error("not read");
    const { electrical, holds } = await judge(circuit, silentProgress);
    expect(holds).toBe(false);
    const found = electrical.verdicts.filter(({ state }) => state !== "holds");
    expect(found.map(({ name, state }) => [name, state])).toEqual(
      [0, 1, 2, 3, 4, 5, 6, 7].map((bit) => [`floating input PD${bit} processor`, "not covered"]),
    );
  });

  /** Zilog PS017801-0602, 6 MHz grade at 4 MHz; 74ACT138 and AT27C256R as on record; wires of a printed board 0 to 1 ns. */
  test("have the program let go 127.1 ns before the processor may write", () => {
    // T - TdCf(RDr) = 250 - 70; RD# to Y2# 10.9 ns; tHZOE 40 ns; two wires.
    const { margin } = verdictOf(proof, "processor U1 hand-over");
    expect(inNs(margin ?? fs(0))).toBeCloseTo(250 - 70 - 10.9 - 40 - 2, 3);
  });

  test("have each byte of the program there in time, the tightest after RD#", () => {
    // T + 0.4 T - TdCf(RDf) - TsD(Cr) = 350 - 80 - 30; the decoder 10.9, tOE 40; three wires.
    const { margin, reference } = verdictOf(proof, "processor U1 reads");
    expect(reference).toBe("RD#");
    expect(inNs(margin ?? fs(0))).toBeCloseTo(350 - 80 - 30 - 10.9 - 40 - 3, 3);
  });

  test("have a write strobe that MREQ# may end as early as the sheet allows", () => {
    expect(verdictOf(proof, "strobe U1 LAMP_WRITE#").note).toContain("It may end with MREQ# first.");
  });
});

test("the harbour lamps, simulated with a processor that writes at random, show what was written", () => {
  const circuit = board();
  const tables = compileTables(circuit);
  const inputs = planInputs(circuit, { activity: { seed: 3 }, longestReset: ns(1000) });
  const simulator = new Simulator(tables, chooseDelays(tables, "typical"), {
    powerUp: { seed: 1 },
    inputs: inputs.first,
  });
  inputs.attach(simulator);
  const levels = new Map<string, number>();
  const written: number[] = [];
  const shown: number[] = [];
  for (const name of ["PD7", "LAMP_WRITE#", "LAMP"]) {
    simulator.observe(netOf(circuit, name).id, (_, word) => {
      levels.set(name, word & 3);
      if (name === "LAMP_WRITE#" && (word & 3) === 1) written.push(levels.get("PD7") ?? 0);
      if (name === "LAMP") shown.push(word & 3);
    });
  }
  simulator.run(ns(400_000));
  expect(written.length).toBeGreaterThan(30);
  // The lamp changes whenever another level is written, and then only.
  const changes = written.filter((level, i) => i > 0 && level !== written[i - 1]);
  expect(shown.slice(-changes.length)).toEqual(changes);
  expect(simulator.contentions.count).toBe(0);
});

describe("the harbour lamps, wired", () => {
  const list = wiringList(board());
  const wires = list.sections.flatMap(({ blocks }) => blocks.flatMap(({ steps }) => steps));
  const ends = (net: string) => wires.filter((wire) => wire.net === net).flatMap(({ from, to }) => [from, to]);

  test("have every pin of the processor on a wire, but those left open", () => {
    const pins = wires
      .flatMap(({ from, to }) => [from, to])
      .flatMap((end) => (end.kind === "pin" && end.chip === "U1" ? [end.number] : []));
    const open = list.open.filter(({ chip }) => chip === "U1").map(({ number }) => number);
    expect([...new Set([...pins, ...open])].sort((a, b) => a - b)).toEqual(Array.from({ length: 40 }, (_, i) => i + 1));
  });

  test("have the strobe from the decoder to the lamps, and the clock from its oscillator", () => {
    expect(ends("LAMP_WRITE#")).toEqual([
      { kind: "pin", chip: "U2", number: 10, pin: "Y5#" },
      { kind: "pin", chip: "U5", number: 11, pin: "CLK" },
    ]);
    expect(ends("CPU_CLOCK")).toMatchObject([{ chip: "X2" }, { chip: "U1", number: 6, pin: "CLK" }]);
  });

  test("name the processor among the parts, and its inputs that nothing uses among the levels", () => {
    expect(partsList(board()).find(({ part }) => part === "Z84C0006")).toMatchObject({
      quantity: 1,
      package: "DIP-40",
    });
    expect(pinMaps(board()).find(({ chip }) => chip === "U1")?.left).toHaveLength(20);
    const held = list.sections.find(({ title }) => title === "Inputs held at a level");
    const pins = held?.blocks.flatMap(({ steps }) =>
      steps.flatMap(({ to }) => (to.kind === "pin" ? `${to.chip} ${to.pin}` : [])),
    );
    expect(pins).toEqual(expect.arrayContaining(["U1 INT#", "U1 NMI#", "U1 WAIT#", "U1 BUSREQ#"]));
  });
});
