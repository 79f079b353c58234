import { describe, expect, test } from "vitest";
import { type MemorySymbol, findPart, isPartProblem, memoryRows } from "../../src/parts/index.js";
import { atHome, inNs, isMissing, part } from "./conditions.js";

function time(number: string, symbol: MemorySymbol, maker?: string): number {
  const conditions = maker === undefined ? atHome : { ...atHome, makers: new Map([[number, maker]]) };
  const found = part(number, conditions).figures.memory(symbol);
  if (isMissing(found)) throw new Error(found.missing);
  return inNs(found.time);
}

/** Times that a sheet lets grow with the grade. */
const growing: readonly MemorySymbol[] = [
  ...(["tRC", "tAA", "tACE", "tOE", "tHZCE", "tHZOE"] as const),
  ...(["tWC", "tAW", "tCW", "tWP", "tDW", "tWHZ"] as const),
];

describe("the sheets on record", () => {
  test("have a source, a supply and a package for every grade", () => {
    const bare = memoryRows.filter(
      ({ source, supply, packages }) =>
        !source.publisher || !source.document || supply[0] > supply[1] || packages.length === 0,
    );
    expect(bare).toEqual([]);
  });

  test("have access times of the grade, and nothing that outlasts its cycle", () => {
    const outlasting = memoryRows.filter(
      ({ grade, times: { tAA = grade, tACE = tAA, tOE = 0, tRC = grade, ...write } }) => {
        const { tWC = Infinity, tWP = 0, tCW = 0, tDW = 0 } = write;
        return tAA !== grade || tACE > 1.25 * tAA || tOE > tAA || tRC < grade || Math.max(tWP, tCW, tDW) > tWC;
      },
    );
    expect(outlasting).toEqual([]);
  });

  test("have the least time of driving below the greatest of the same cause", () => {
    const crossed = memoryRows.filter(({ times: { tOH = 0, tLZCE = 0, tLZOE = 0, ...greatest } }) => {
      const { tAA = Infinity, tACE = Infinity, tOE = Infinity } = greatest;
      return tOH > tAA || tLZCE > tACE || tLZOE > tOE;
    });
    expect(crossed).toEqual([]);
  });

  test("are slower or equal in every time for a slower grade of the same sheet", () => {
    const faster = memoryRows.flatMap((slow) =>
      memoryRows
        .filter((fast) => fast.source === slow.source && fast.grade < slow.grade)
        .flatMap((fast) =>
          growing
            .filter((symbol) => (fast.times[symbol] ?? 0) > (slow.times[symbol] ?? Infinity))
            .map((symbol) => `${fast.part} ${slow.part} ${symbol}`),
        ),
    );
    expect(faster).toEqual([]);
  });
});

describe("a static RAM", () => {
  test("answers by symbol as its sheet prints it", () => {
    // Hitachi ADE-203-135D, HM62256B-7; the older 6116 asks for address set-up and data hold.
    expect(time("HM62256B-7", "tWP")).toBe(50);
    expect(time("HM62256-70", "tWP")).toBe(50);
    expect(time("HM6116-2", "tAS")).toBe(20);
    expect(time("HM6116-2", "tDH")).toBe(5);
    // Cypress 38-05160.
    expect(time("CY7C199-15", "tAA")).toBe(15);
    expect(time("CY7C199-15PC", "tHZOE")).toBe(7);
  });

  test("named by organisation and grade takes the worst of every maker read", () => {
    expect(time("62256-70", "tWP")).toBe(55); // Alliance AS6C62256A
    expect(time("62256-70", "tHZCE")).toBe(30); // Winbond W24257
    expect(time("62256-70", "tOH")).toBe(5);
    expect(time("62256-70", "tOW")).toBe(0); // Alliance
    expect(time("62256-70", "tWP", "Hitachi")).toBe(50);
    for (const number of [
      "62256-55",
      "62256-25",
      "62256-20",
      "62256-15",
      "62256-12",
      "62256-10",
      "6264-15",
      "6116-120",
      "628128-12",
    ]) {
      expect(time(number, "tAA")).toBe(Number(number.split("-")[1]));
    }
  });

  test("drives and lets go within the sheet's times", () => {
    const { figures } = part("HM62256B-7");
    const arc = (from: string, change: "rise" | "z-to-high" | "low-to-z") => {
      const found = figures.delay(from, "fall", "IO3", change);
      return isMissing(found) ? found : [found.min, found.max].map(inNs);
    };
    expect(arc("A14", "rise")).toEqual([5, 70]);
    expect(arc("CE#", "z-to-high")).toEqual([10, 70]);
    expect(arc("OE#", "z-to-high")).toEqual([5, 40]);
    expect(arc("CE#", "low-to-z")).toEqual([0, 25]);
    expect(arc("OE#", "low-to-z")).toEqual([0, 25]);
    expect(arc("WE#", "low-to-z")).toEqual([0, 25]);
    expect(arc("WE#", "z-to-high")).toEqual([5, 70]);
    expect(arc("IO0", "rise")).toHaveProperty("missing");
  });

  test("asks for its write times as widths of the strobes", () => {
    const { figures } = part("HM62256B-7");
    expect(figures.width("WE#", "low")).toMatchObject({ kind: "width low", symbol: "tWP", time: 50_000_000 });
    expect(figures.width("CE#", "low")).toMatchObject({ kind: "width low", symbol: "tCW", time: 60_000_000 });
    expect(part("6264-15").figures.width("CE2", "high")).toMatchObject({ kind: "width high", symbol: "tCW" });
    expect(isMissing(figures.width("OE#", "low"))).toBe(true);
  });

  test("outside its supply or ambient has no figures rather than wrong ones", () => {
    const cold = part("HM62256B-7", { ...atHome, ambientCelsius: { min: -20, max: 50 } }).figures.memory("tAA");
    expect(cold).toEqual({ missing: expect.stringContaining("outside the sheet's supply or ambient range") });
    const low = part("HM62256B-7", { ...atHome, supplyVolts: { min: 3, max: 3.6 } }).figures.memory("tAA");
    expect(isMissing(low)).toBe(true);
  });

  test("recalled and not read says so", () => {
    expect(part("CY7C199-25").figures.memory("tAA")).toMatchObject({ source: { fromMemory: true } });
    // Where a sheet of that grade was read, the recalled ones do not count.
    expect(part("62256-25").figures.memory("tAA")).toMatchObject({ source: { fromMemory: false } });
  });

  test("comes in DIP or not, by type", () => {
    expect(part("HM62256B-7").package).toMatchObject({ name: "DIP-28", isDual: true });
    expect(part("IS61C256AL-12").package.isDual).toBe(false);
    expect(part("CY7C1019B-12").package.isDual).toBe(false);
  });
});

describe("a read-only memory", () => {
  test("lets go within one printed time for select and output enable, and has no write times", () => {
    // SGS-Thomson M27C256B, table 8A.
    expect(time("M27C256B-70", "tAA")).toBe(70);
    expect(time("M27C256B-45", "tHZOE")).toBe(time("M27C256B-45", "tHZCE"));
    expect(isMissing(part("M27C256B-70").figures.memory("tWP"))).toBe(true);
    expect(part("27C256-70").family).toBe("EPROM");
    expect(part("SST39SF010A-70").family).toBe("flash");
    expect(part("AT28C256-15").family).toBe("EEPROM");
  });
});

test("an unknown grade is a problem that names near ones", () => {
  const found = findPart("62256-71", atHome);
  expect(isPartProblem(found) && found.suggestions).toContain("62256-70");
});
