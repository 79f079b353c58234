import { describe, expect, it } from "vitest";
import { families, findPart, functionsOf, isPartProblem, listPartNumbers } from "../../src/parts/index.js";
import { delayLines, requirementLines } from "../../src/paper/part-figures.js";
import { partPage } from "../../src/paper/part-page.js";
import { partPageText } from "../../src/paper/part-page-text.js";
import { atHome, onTheBench, part } from "../parts/conditions.js";

const textOf = (number: string) => partPageText(partPage(part(number), atHome));

describe("a part's page", () => {
  /** Texas Instruments SCLS148F, switching characteristics: CLK to Q 36 ns at 25 °C and 45 ns at 85 °C, 4.5 V, 50 pF. */
  it("gives CLK to Q of a 74HC574 by one maker as the sheet's columns have it", () => {
    const of = (conditions: typeof atHome) => {
      const found = findPart("74HC574", { ...conditions, makers: new Map([["74HC574", "Texas Instruments"]]) });
      if (isPartProblem(found)) throw new Error(found.problem);
      return delayLines(found).find(({ from }) => from === "CLK ↑");
    };
    expect(of(onTheBench)).toMatchObject({ to: "1Q to 8Q", symbol: "tPLH, tPHL", max: 36, marks: ["assumed"] });
    expect(of(atHome)).toMatchObject({ max: 45 });
  });

  it("covers every arc of every logic part, each with its figures or as not covered", () => {
    const numbers = families.flatMap((family) => functionsOf(family).map((fn) => `74${family}${fn}`));
    const empty = numbers.filter((number) => {
      const lines = delayLines(part(number));
      return lines.length === 0 || lines.some(({ max, missing }) => (max === undefined) === (missing === undefined));
    });
    expect(empty).toEqual([]);
  });

  it("marks what is assumed, from memory and derived", () => {
    const marks = (number: string) => new Set(delayLines(part(number)).flatMap((line) => line.marks));
    expect([...marks("74HC163")]).toEqual(["assumed"]);
    expect([...marks("74LS74")]).toContain("derived");
    expect([...marks("74AC74")]).toEqual(["from memory"]);
    expect(textOf("74LS74")).toMatch(/derived from the sheet's\s+figure by an allowance/);
  });

  /** Texas Instruments SCHS154D and Fairchild DS005008: data inputs hold longer than the others. */
  it("lists set-up and hold of every input of a 163 against its clock, widths and period", () => {
    const kinds = requirementLines(part("74HC163")).map(({ kind, of }) => `${kind} ${of}`);
    expect(kinds).toContain("set-up A to D before CLK ↑");
    expect(kinds).toContain("hold ENP after CLK ↑");
    expect(kinds).toContain("width low CLK");
    expect(kinds).toContain("clock period CLK");
    expect(kinds.some((kind) => kind.startsWith("recovery"))).toBe(false);
  });

  it("asks recovery of a 161, whose clear acts at once", () => {
    const kinds = requirementLines(part("74HC161")).map(({ kind, of }) => `${kind} ${of}`);
    expect(kinds).toContain("recovery CLR# ↑ to CLK ↑");
  });

  /** Zilog PS017801-0602: TwWR 220, 132, 100, 75 and 25 ns, TdD(WRf) -10 ns in the 20 MHz grade. */
  it("gives a processor's times for each grade by the sheet's symbols, and how it writes and waits", () => {
    const bus = partPage(part("Z84C00"), atHome).bus;
    const times = new Map(bus?.times.map(({ symbol, ns }) => [symbol, ns]));
    expect(times.get("TwWR")).toEqual([220, 132, 100, 75, 25]);
    expect(times.get("TdD_WRf_mem")?.at(-1)).toBe(-10);
    const text = textOf("Z84C0008");
    expect(text).toContain("Waits while WAIT# is low");
    expect(text).toMatch(/^TwWR +WR# low, least +100$/m);
    expect(textOf("MC6809")).toMatch(/\(from memory\)/);
  });

  /** Hitachi HM62256B, ADE-203-135D (Z) Rev. 4.0: tAA 70 ns, tWP 50 ns in the -7 grade. */
  it("gives a memory's times by the sheet's symbols, the write times only where it can be written", () => {
    const times = new Map(requirementLines(part("HM62256B-7")).map(({ of, time }) => [of, time]));
    expect(times.get("tAA")).toBe(70);
    expect(times.get("tWP")).toBe(50);
    const read = requirementLines(part("27C256-150")).map(({ of }) => of);
    expect(read).toContain("tAA");
    expect(read).not.toContain("tWP");
    expect(partPage(part("HM62256B-7"), atHome).housing.packages).toEqual(["DIP28-600", "DIP28-300", "SOP28"]);
  });

  /** 100 ppm of 1/25.175 MHz = 39.7219 ns is 3.97 ps either way. */
  it("gives period and duty of an oscillator can", () => {
    expect(textOf("OSC-25.175MHz")).toContain("period 39.717974 ns to 39.725919 ns");
    expect(textOf("OSC-25.175MHz")).toContain("high for 40 % to 60 % of the period");
  });

  it("says of a part that is not made in a DIP that it needs an adapter, and where that is not on record", () => {
    expect(partPage(part("74LVC244"), atHome).housing).toMatchObject({ packages: ["SO-20"], inDip: "no" });
    expect(partPage(part("74AHC1G00"), atHome).housing).toMatchObject({ inDip: "no" });
    expect(partPage(part("74VHC163"), atHome).housing.advice).toMatch(
      /not on record: look before you order.*from memory/,
    );
    expect(partPage(part("CY7C1019B-12"), atHome).housing).toMatchObject({ inDip: "no" });
    expect(partPage(part("74HC163"), atHome).housing).toMatchObject({ inDip: "yes" });
  });

  // Philips, 74HC/HCT family specifications, March 1988, at 4.5 V: VIH 3.15, VIL 1.35 V; VOL 0.33 and VOH 3.84 V at 4 mA up to
  // 85 °C, of bus drivers at 6 mA. Nexperia 74HC_HCT14: VT+ 1.9, VT- 0.5 V of 74HCT14.
  it("gives the levels of its pins, those that are alike together", () => {
    const levels = (number: string) =>
      partPage(part(number), atHome).levels?.lines.map((line) => `${line.role} ${line.pins}: ${line.levels}`);
    expect(levels("74HC595")).toEqual([
      "in SER, SRCLK, SRCLR#, RCLK, OE#: low up to 1.35 V, high from 3.15 V",
      "out QA to QH: low up to 0.33 V at 6.00 mA, high from 3.84 V at 6.00 mA",
      "out QH': low up to 0.33 V at 4.00 mA, high from 3.84 V at 4.00 mA",
    ]);
    expect(levels("74HCT14")?.[0]).toBe("in 1A to 6A: low up to 0.50 V, high from 1.90 V, Schmitt trigger");
  });

  it("marks levels from memory, and gives none for a supply that the part is not made for", () => {
    const page = partPage(part("62256-70"), atHome);
    expect(page.levels?.lines.map(({ isRecalled }) => isRecalled)).toEqual([true, true]);
    expect(partPageText(page)).toContain("m: from memory, not read in a sheet.");
    const wide = partPage(part("74LVC00"), atHome);
    expect(wide.levels).toBeUndefined();
    expect(wide.family.at(-1)).toBe("the supply asked for, 4.5 V to 5.5 V, goes beyond what it is made for");
  });

  it("explains the signs of its tables, and no others: a 153's C0 is an input", () => {
    expect(textOf("74HC153")).toContain("a the level at A");
    expect(textOf("74HC153")).not.toContain("Q0 what Q was before");
    for (const number of ["74HC163", "74HC574", "74HC595", "74HC109", "74HC590"])
      expect(textOf(number).replaceAll("\n", " ")).toContain("0 what Q was before");
  });

  it("keeps every source that a figure rests on", () => {
    const page = partPage(part("74HC163"), atHome);
    const used = [...page.delays, ...page.requirements].flatMap(({ sources }) => sources);
    expect(used.filter((source) => !page.sources.includes(source))).toEqual([]);
    expect(page.sources.some((source) => source.startsWith("pins: Texas Instruments SCHS154D"))).toBe(true);
  });

  it("of every kind of part is no wider than 80 columns", () => {
    const one = new Map(listPartNumbers().map((number) => [part(number).behaviour.function, number]));
    const wide = [...one.values()].flatMap((number) =>
      textOf(number)
        .split("\n")
        .filter((line) => line.length > 80)
        .map((line) => `${number}: ${line}`),
    );
    expect(wide).toEqual([]);
  });
});
