import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { underLoad } from "../../src/electrical/index.js";
import { coneOf } from "../../src/planning/repair/cone.js";
import { evaluateText, screenText } from "../../src/planning/index.js";
import { placeOf } from "../../src/planning/repair/places.js";
import { findRaster } from "../../src/raster/index.js";
import { type Verdict, prove } from "../../src/timing/index.js";
import { circuitIn, evaluate, failing, isWell, repaired } from "./repaired.js";
import { someSpoilings } from "./spoiling.js";

const gong = readFileSync(new URL("gong.circuit.yaml", import.meta.url), "utf8");
const lamps = readFileSync(new URL("../../examples/harbour-lamps.circuit.yaml", import.meta.url), "utf8");

describe("the repairer, which never sees the circuit before it was spoilt", { timeout: 600_000 }, () => {
  test("finds nothing to do where nothing fails", async () => {
    expect(await repaired(gong)).toMatchObject({ repairs: [], proofs: 1, tried: [] });
  });

  test("mends at least 19 of 20 boards spoilt at random, half of them in their wiring, each proved", async () => {
    const spoilt = [...failing(someSpoilings(gong, 1), 8), ...failing(someSpoilings(lamps, 1), 12)];
    expect(spoilt.length).toBe(20);
    expect(spoilt.filter(({ kind }) => kind !== "slower part").length).toBeGreaterThanOrEqual(10);
    const left: string[] = [];
    for (const { what, text } of spoilt) {
      const [best] = (await repaired(text)).repairs;
      if (!best || !isWell(best.evaluation)) left.push(what);
    }
    expect({ left, isMost: left.length <= 1 }).toMatchObject({ isMost: true });
  });
});

test("an input is put back onto a signal at any time that goes into a synchroniser, of which no set-up is asked", async () => {
  const spoilt = lamps.replace("1D: LAMP\n", "1D: PD7\n");
  expect(spoilt).not.toBe(lamps);
  const { repairs } = await repaired(spoilt, 20, 20);
  expect(repairs[0]?.text).toBe(lamps);
});

test("a change may be simulated for any number of oscillator periods", () => {
  for (const periods of [1, 2, 3, 5]) {
    expect(screenText(lamps, "board.yaml", { findRaster }, periods)?.faults).toEqual(new Set());
  }
});

test("what decides a place by itself is proved to be just what the whole board's proof says of it", () => {
  const circuit = underLoad(circuitIn(gong));
  const whole = prove(circuit).verdicts;
  const worst = new Map<string, Verdict>();
  for (const verdict of whole) {
    if (verdict.margin !== undefined && verdict.chip !== "" && !worst.has(placeOf(verdict)))
      worst.set(placeOf(verdict), verdict);
  }
  let least = Infinity;
  for (const [place, { chip: ref, pin, reference, margin, state }] of worst) {
    const chip = circuit.chips.find((one) => one.ref === ref);
    const cone =
      chip &&
      coneOf(
        circuit,
        [pin, reference].map((name) => ({ chip, pin: name })),
      );
    if (!cone) continue;
    least = Math.min(least, cone.chips.length / circuit.chips.length);
    const same = prove(cone).verdicts.filter((verdict) => placeOf(verdict) === place && verdict.pin === pin);
    expect(same.map((verdict) => [verdict.margin, verdict.state])).toContainEqual([margin, state]);
  }
  expect(least).toBeLessThan(0.5);
});

/** By itself a request seems to be data, of unknown value, though the strobe that it leads to is elsewhere. */
test("what a request leads to is proved of a part of a board as of the whole", () => {
  const tideBoard = readFileSync(new URL("../../examples/tide-board.circuit.yaml", import.meta.url), "utf8");
  const only = { what: "all", pins: ["5D", "CLK"].map((pin) => ({ chip: "U4", pin })) } as const;
  const [part, whole] = [{ only }, {}].map((limits) =>
    evaluateText(tideBoard, "board.yaml", { findRaster }, limits).verdicts.find(({ name }) => name === "set-up U4 5D"),
  );
  expect(whole?.state).toBe("holds");
  expect(part?.margin).toBe(whole?.margin);
});

describe("a chip's outputs opened by a wrong line of a processor's bus", () => {
  test.each(["PA15", "MREQ#"])("are opened by what was decoded for them, and %s is not", async (line) => {
    const spoilt = lamps.replace("OE#: PROGRAM#\n", `OE#: ${line}\n`);
    expect(spoilt).not.toBe(lamps);
    expect((await repaired(spoilt, 20, 20)).repairs[0]?.text).toBe(lamps);
  });

  test("a decoder whose strobe comes too late for the data becomes a faster one", async () => {
    const spoilt = lamps.replace("74ACT138", "74HCT138");
    const [best] = (await repaired(spoilt, 20, 20)).repairs;
    expect(best?.changes.map(({ kind, edits }) => [kind, edits[0]])).toEqual([
      ["part", expect.objectContaining({ chip: "U2" })],
    ]);
  });
});

test("a proof ends where something fails that a change should have mended", () => {
  const spoilt = gong.replace("74AHCT74", "74LS74");
  expect(spoilt).not.toBe(gong);
  const whole = evaluate(spoilt);
  const places = new Set(whole.failing.map(placeOf));
  const { circuit, stopped } = evaluateText(spoilt, "board.yaml", { findRaster }, { endsAt: () => true });
  expect(circuit).toBeUndefined();
  expect(stopped && places.has(placeOf(stopped.check))).toBe(true);
});
