import { describe, expect, it } from "vitest";
import {
  behaviourOf,
  findPart,
  isPartProblem,
  nearParts,
  packageOf,
  pinCompatible,
  substitutesFor,
} from "../../src/parts/index.js";
import { atHome, part } from "./conditions.js";

/** What differs where the second function takes the first one's place. */
function difference(own: string, other: string): readonly string[] | undefined {
  const [a, b] = [own, other].map((fn) => {
    const [behaviour, shape] = [behaviourOf(fn), packageOf(fn)];
    if (!behaviour || !shape) throw new Error(`no ${fn}`);
    return { behaviour, package: shape };
  });
  return a && b && pinCompatible(a, b);
}

describe("pin-compatible functions", () => {
  /** The pin tables of the sheets named in data/packages/logic.json; that they take each other's place: common practice. */
  it("differ in one thing that is named", () => {
    expect(difference("161", "163")).toEqual(["CLR# waits for the clock (synchronous)"]);
    expect(difference("163", "161")).toEqual(["CLR# acts at once (asynchronous)"]);
    expect(difference("244", "240")).toEqual(["outputs inverted"]);
    expect(difference("541", "540")).toEqual(["outputs inverted"]);
    expect(difference("244", "241")).toEqual(["enabled by a high 2OE"]);
    expect(difference("1G125", "1G126")).toEqual(["enabled by a high OE"]);
    expect(difference("157", "257")).toEqual(["undriven instead of low when not enabled"]);
    expect(difference("574", "573")).toEqual(["transparent while its enable is active, instead of clocked by an edge"]);
    expect(difference("04", "14")).toEqual([]);
  });

  it("are not those whose pins stand elsewhere, though they do the same", () => {
    for (const [own, other] of [
      ["244", "541"],
      ["374", "574"],
      ["373", "573"],
      ["00", "02"],
      ["191", "193"],
      ["165", "166"],
    ] as const) {
      expect([own, other, difference(own, other)]).toEqual([own, other, undefined]);
    }
  });

  it("are not those of the same pins that do something else", () => {
    for (const [own, other] of [
      ["00", "32"],
      ["08", "86"],
      ["273", "377"],
      ["374", "273"],
    ] as const) {
      expect([own, other, difference(own, other)]).toEqual([own, other, undefined]);
    }
  });
});

describe("substitutes", () => {
  it("of a 74HC163 begin with families several times faster and name TTL levels, drive and the 161's clear", () => {
    const found = substitutesFor(part("74HC163"), atHome);
    const [act, hct, clear] = ["74ACT163", "74HCT163", "74HC161"].map((number) =>
      found.find((one) => one.part.number === number),
    );
    const ratio = (of: typeof act) => (of?.slowest ? of.slowest.its.max / of.slowest.own.max : Number.NaN);
    expect(ratio(act)).toBeLessThan(0.4);
    expect(ratio(hct)).toBeGreaterThan(0.8);
    expect(act?.differences).toEqual(["TTL input levels", "outputs sink 24 mA, not 4 mA"]);
    expect(clear?.differences).toEqual(["CLR# acts at once (asynchronous)"]);
    expect(found.map(({ part: { number } }) => number)).not.toContain("74HC163");
  });

  it("stand fastest first, those without figures for the supply last", () => {
    const ratios = substitutesFor(part("74HC574"), atHome).map(({ slowest }) =>
      slowest ? slowest.its.max / slowest.own.max : Infinity,
    );
    expect(ratios).toEqual([...ratios].sort((a, b) => a - b));
    expect(ratios.at(-1)).toBe(Infinity);
  });

  it("of a part with TTL levels say where the other takes CMOS levels", () => {
    const hc = substitutesFor(part("74HCT574"), atHome).find((one) => one.part.number === "74HC574");
    expect(hc?.differences).toEqual(["CMOS input levels"]);
  });

  // The 14's inputs take slow edges, the 04's do not (Texas Instruments SCLS085L, SN74HC14).
  it("of a Schmitt trigger say which have none, and of a plain gate which are some", () => {
    const of = (number: string, other: string) =>
      substitutesFor(part(number), atHome).find((one) => one.part.number === other)?.differences;
    expect(of("74HCT14", "74HCT04")).toContain("no Schmitt trigger");
    expect(of("74HCT04", "74HCT14")).toContain("Schmitt-trigger inputs");
    expect(of("74HCT14", "74AHCT14")?.join()).not.toContain("Schmitt");
  });

  it("of a 3.3 V family say that they need an adapter and are not made for 5 V", () => {
    const lvc = substitutesFor(part("74HC244"), atHome).find((one) => one.part.number === "74LVC244");
    expect(lvc?.differences).toContain("made for 1.65 to 3.6 V");
    expect(lvc?.differences).toContain("SO-20: needs an adapter");
  });

  /** Hitachi HM62256B ADE-203-135D: grades of 45, 55, 70 and 85 ns. */
  it("of a memory are its grades and other makers' memories with the same pins", () => {
    const found = substitutesFor(part("HM62256B-7"), atHome);
    const grades = found.filter(({ part: { number } }) => number.startsWith("HM62256B"));
    expect(grades.map(({ part: { number } }) => number)).toEqual(["HM62256B-4", "HM62256B-5", "HM62256B-8"]);
    const times = grades.map(({ slowest }) => (slowest ? slowest.its.max / 1e6 : 0));
    expect(times).toEqual([45, 55, 85]);
    expect(found.map(({ part: { number } }) => number)).toContain("CY62256-70");
  });

  it("are none for an oscillator can", () => {
    expect(substitutesFor(part("OSC-25.175MHz"), atHome)).toEqual([]);
  });
});

describe("parts near a number that is not in the catalogue", () => {
  const near = (number: string) => nearParts(number, atHome).map((one) => one.number);

  it("are the same function in the families on record", () => {
    expect(near("74XY163")).toContain("74HC163");
    expect(near("SN74XY163N")).toContain("74ACT163");
    expect(nearParts("74XY163", atHome)[0]?.how).toContain("the same function");
  });

  it("are what a mistake in a circuit file suggests", () => {
    const found = findPart("74XC163", atHome);
    expect(isPartProblem(found) ? found.suggestions : []).toEqual(["74HC163", "74ACT163", "74F163"]);
  });

  it("begin with the family that was asked for, where it has a function with the same pins", () => {
    expect(nearParts("74AC163", atHome)[0]).toEqual({
      number: "74AC161",
      how: "the same pins: CLR# acts at once (asynchronous); 4-bit binary counter, asynchronous clear",
    });
  });

  it("are similar numbers that say they do something else, where no such function is on record", () => {
    const found = nearParts("74HC168", atHome);
    expect(found.map(({ number }) => number)).toContain("74HC163");
    expect(found.every(({ how }) => how.includes("another function"))).toBe(true);
  });

  it("are the nearest grades of a memory", () => {
    expect(nearParts("62256-60", atHome).slice(0, 2)).toEqual([
      { number: "62256-55", how: "a faster grade" },
      { number: "62256-70", how: "a slower grade" },
    ]);
  });
});
