import { describe, expect, it } from "vitest";
import { type CatalogueQuery, searchCatalogue } from "../../src/parts/index.js";
import { ns } from "../../src/quantity/index.js";
import { atHome } from "./conditions.js";

const found = (query: CatalogueQuery) => searchCatalogue(query, atHome);
const numbers = (query: CatalogueQuery) => found(query).map(({ part }) => part.number);

describe("a search of the catalogue", () => {
  it("finds words of the title in any order, and only all of them together", () => {
    expect(numbers({ words: "register shift" })).toContain("74HC166");
    expect(numbers({ words: "shift register clear" })).not.toContain("74HC165");
  });

  it("lists the parts of a function fastest first, those without figures last", () => {
    const entries = found({ function: "574" });
    const times = entries.map(({ slowest }) => slowest?.max ?? Infinity);
    expect(times).toEqual([...times].sort((a, b) => a - b));
    expect(entries.at(-1)?.part.number).toBe("74LVC574");
  });

  it("leaves out what is slower than asked or not covered", () => {
    const entries = found({ words: "static RAM", delay: ns(15) });
    expect(entries.length).toBeGreaterThan(10);
    expect(entries.every(({ slowest }) => slowest !== undefined && slowest.max <= ns(15))).toBe(true);
    expect(numbers({ function: "574", delay: ns(1000) })).not.toContain("74LVC574");
  });

  it("goes by family, pins and package", () => {
    expect(new Set(found({ families: ["hc", "HCT"] }).map(({ part }) => part.family))).toEqual(new Set(["HC", "HCT"]));
    expect(found({ pins: 28 }).every(({ part }) => part.package.pins.length === 28)).toBe(true);
    expect(numbers({ function: "32Kx8", package: "DIP" })).not.toContain("IS61C256AL-12");
    expect(numbers({ function: "32Kx8", package: "SOJ" })).toContain("IS61C256AL-12");
    expect(numbers({ function: "163", package: "DIP" })).toContain("74HC163");
    expect(numbers({ function: "163", package: "DIP" })).not.toContain("74VHC163");
    expect(numbers({ function: "244", package: "SO" })).toEqual(["74LVC244"]);
  });

  it("can keep to the sheets of one maker", () => {
    const hitachi = numbers({ function: "32Kx8", maker: "Hitachi" });
    expect(hitachi).toContain("HM62256B-7");
    expect(hitachi).not.toContain("CY7C199-15");
  });
});
