import { describe, expect, test } from "vitest";
import {
  type InputFigures,
  type OutputFigures,
  type Part,
  families,
  familyTraits,
  functionsOf,
  isMissing,
  levelsOf,
  listPartNumbers,
  outsideOutput,
  processorPart,
  processors,
} from "../../src/parts/index.js";
import { microvolts, nanoamps } from "../../src/quantity/index.js";
import { atHome, part } from "./conditions.js";

const ambient = { min: 0, max: 50 };

function input(number: string, pin: string, at = ambient): InputFigures {
  const figures = levelsOf(part(number), { ...atHome, ambientCelsius: at })?.input(pin);
  if (!figures || isMissing(figures)) throw new Error(`no levels of ${number} ${pin}`);
  return figures;
}

function output(number: string, pin: string, at = ambient): OutputFigures {
  const figures = levelsOf(part(number), { ...atHome, ambientCelsius: at })?.output(pin);
  if (!figures || isMissing(figures)) throw new Error(`no levels of ${number} ${pin}`);
  return figures;
}

const isIn = (role: string) => role === "input" || role === "in-out";
const isOut = (role: string) => role === "output" || role === "in-out";

describe("levels are on record", () => {
  test.each(families)("for every pin of every 74%s part", (family) => {
    const parts = functionsOf(family).map((fn) => part(`74${family}${fn}`));
    expect(parts.flatMap(gapsOf)).toEqual([]);
  });

  test("for every memory and every oscillator can", () => {
    const numbers = listPartNumbers().filter((one) => !one.startsWith("74"));
    const low = numbers.filter((number) => {
      const { clockSource, memory } = part(number).behaviour;
      const pin = clockSource?.pin ?? memory?.data[0];
      return pin !== undefined && (output(number, pin).high.at(-1)?.level ?? 0) < microvolts(2.4);
    });
    expect(low).toEqual([]);
  });

  test("for every processor, as a chip and as where a signal comes from", () => {
    const gaps = processors.flatMap(({ name }) => {
      const found = processorPart(name);
      return [...(found ? gapsOf(found) : [name]), ...(outsideOutput(name) ? [] : [`${name} from outside`])];
    });
    expect(gaps).toEqual([]);
  });

  function gapsOf(found: Part): readonly string[] {
    const levels = levelsOf(found, atHome);
    return found.behaviour.pins.flatMap(({ name, role }) => {
      const figures = [...(isIn(role) ? [levels?.input(name)] : []), ...(isOut(role) ? [levels?.output(name)] : [])];
      return figures.every((one) => one && !isMissing(one) && one.high.length > 0 && one.low.length > 0)
        ? []
        : [`${found.number} ${name}`];
    });
  }
});

describe("the single gates of 74LVC", () => {
  const single = functionsOf("LVC").filter((fn) => fn.startsWith("1G"));

  // Texas Instruments SCES217Z (SN74LVC1G08): 1.65 to 5.5 V, where the wide parts (SCAS283T, SN74LVC08A) end at 3.6 V.
  test("run on up to 5.5 V, the wide parts on up to 3.6 V", () => {
    const most = (fn: string) => levelsOf(part(`74LVC${fn}`), atHome)?.supplyVolts.max;
    expect(single.map(most)).toEqual(single.map(() => 5.5));
    expect(single.length).toBeGreaterThan(5);
    expect(most("08")).toBe(3.6);
  });

  // SCES217Z: VIH 0.7, VIL 0.3 of 4.5 to 5.5 V; VIH 2.0 V at 3 to 3.6 V; VOH 3.8 V and VOL 0.55 V at 32 mA and 4.5 V; edges of
  // 5 ns/V at most at 5 V.
  test("have CMOS levels at 5 V, and TTL levels at 3.3 V", () => {
    const { high, low, slowestEdge } = input("74LVC1G08", "A");
    const at = microvolts(4.5);
    expect(high).toContainEqual({ supply: at, level: microvolts(3.15) });
    expect(low).toContainEqual({ supply: microvolts(5.5), level: microvolts(1.65) });
    expect(high).toContainEqual({ supply: microvolts(3.6), level: microvolts(2) });
    expect(slowestEdge?.points.at(-1)?.perVolt).toBe(5_000_000);
    const current = nanoamps(32);
    expect(output("74LVC1G08", "Y").high).toContainEqual({ supply: at, current, level: microvolts(3.8) });
    expect(output("74LVC1G08", "Y").low).toContainEqual({ supply: at, current, level: microvolts(0.55) });
    expect(familyTraits("LVC", "1G08")).toMatchObject({ levels: "CMOS", supply: [1.65, 5.5] });
    expect(familyTraits("LVC", "08")).toMatchObject({ levels: "TTL", supply: [1.65, 3.6] });
  });
});

describe("a second maker's sheet prints the same", () => {
  // Texas Instruments SCLS297D (SN74HC161) at 4.5 V: VIH 3.15, VIL 1.35; -40 to 85 °C: VOH 3.84 and VOL 0.33 V at 4 mA,
  // II 1000 nA.
  test("74HC at 4.5 V, of which the levels on record are Philips'", () => {
    const at = microvolts(4.5);
    expect(input("74HC161", "CLK").high).toContainEqual({ supply: at, level: microvolts(3.15) });
    expect(input("74HC161", "CLK").low).toContainEqual({ supply: at, level: microvolts(1.35) });
    expect(input("74HC161", "CLK").currentHigh).toBe(1000);
    expect(output("74HC161", "QA").high).toContainEqual({
      supply: at,
      current: nanoamps(4),
      level: microvolts(3.84),
    });
    expect(output("74HC161", "QA").low).toContainEqual({ supply: at, current: nanoamps(4), level: microvolts(0.33) });
  });

  // Texas Instruments SCLS148F (SN74HC574, bus driver): 6 mA; -40 to 85 °C, three-state output off 5 µA.
  test("a 74HC bus driver carries 6 mA and leaks 5 µA while it is off", () => {
    const figures = output("74HC574", "1Q");
    expect(figures.kind).toBe("bus driver");
    expect(figures.high.filter(({ supply }) => supply === microvolts(4.5)).at(-1)?.current).toBe(nanoamps(6));
    expect(figures.offCurrentHigh).toBe(5000);
  });

  // Fairchild DS006439 (DM74LS00): VOH 2.7 V at 0.4 mA, VOL 0.4 V at 4 mA and 0.5 V at 8 mA; IIH 20 µA.
  test("74LS gates, of which the levels on record are Texas Instruments'", () => {
    expect(output("74LS00", "1Y").high.map(({ current, level }) => [current, level])).toEqual([[400_000, 2_700_000]]);
    expect(output("74LS00", "1Y").low.map(({ current, level }) => [current, level])).toEqual([
      [4_000_000, 400_000],
      [8_000_000, 500_000],
    ]);
    expect(input("74LS00", "1A").currentHigh).toBe(20_000);
  });

  // Philips 74F00 (1990): at 4.75 V VOH 2.7 V, at 4.5 V 2.5 V, both at 1 mA.
  test("74F outputs rise with the supply", () => {
    expect(output("74F00", "1Y").high.map(({ supply, level }) => [supply, level])).toEqual([
      [4_500_000, 2_500_000],
      [4_750_000, 2_700_000],
    ]);
  });
});

describe("a pin has figures of its own where the sheet gives it some", () => {
  test.each([
    ["74LS86", "1A", 40_000, 800_000],
    ["74LS161", "CLK", 40_000, 800_000],
    ["74LS161", "A", 20_000, 400_000],
    ["74LS163", "CLR#", 40_000, 800_000],
    ["74LS161", "CLR#", 20_000, 400_000],
    ["74F244", "1A1", 20_000, 1_600_000],
    ["74ALS74", "1PRE#", 40_000, 400_000],
  ])("%s %s", (number, pin, high, low) => {
    const { currentHigh, currentLow } = input(number, pin);
    expect([currentHigh, currentLow]).toEqual([high, low]);
  });

  test("the serial output of a 595 is no bus driver", () => {
    expect(output("74HC595", "QH'").kind).toBe("standard");
    expect(output("74HC595", "QA").kind).toBe("bus driver");
  });
});

test("the column that covers the ambient counts", () => {
  const level = (min: number, max: number) =>
    output("74HC00", "1Y", { min, max }).high.find(({ current }) => current === nanoamps(4))?.level;
  expect([level(25, 25), level(0, 50), level(0, 100)]).toEqual([3_980_000, 3_840_000, 3_700_000]);
});

test("a 74LS sheet says nothing below 0 °C", () => {
  const figures = levelsOf(part("74LS00"), { ...atHome, ambientCelsius: { min: -10, max: 50 } })?.input("1A");
  expect(figures && isMissing(figures)).toBe(true);
});

test("what was recalled keeps its mark", () => {
  expect(output("62256-70", "IO0").highSource.fromMemory).toBe(true);
  expect(input("74HC00", "1A").levelSource.fromMemory).toBe(false);
});

test("a generic memory has the worst levels of every maker's", () => {
  // AS6C62256 asks for 2.4 V, the 62256s of others for 2.2 V.
  expect(input("AS6C62256-55", "A0").high[0]?.level).toBe(microvolts(2.4));
  expect(input("62256-55", "A0").high[0]?.level).toBe(microvolts(2.4));
  expect(input("HM62256B-7", "A0").high[0]?.level).toBe(microvolts(2.2));
});
