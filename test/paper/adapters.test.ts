import { describe, expect, test } from "vitest";
import { adapterNotes } from "../../src/paper/adapters.js";
import { packageWords, partsList } from "../../src/paper/parts-list.js";
import { pinMaps } from "../../src/paper/pin-map.js";
import { wiringList } from "../../src/paper/wiring-list.js";
import { wiringPage } from "../../src/paper/wiring-page.js";
import { wiringText } from "../../src/paper/wiring-text.js";
import { boardFrom, harbourLamp } from "./board-fixture.js";

/** The harbour lamp with a buffer of a 3.3 V family and a counter of one that is sold in small outline above all. */
const lampOn = (build: string) =>
  boardFrom(
    harbourLamp
      .replace("build: breadboard", `build: ${build}`)
      .replace("74HC244", "74LVC244")
      .replace("part: 74HC163\n    note: column", "part: 74VHC163\n    note: column"),
  );

const packages = (build: string) =>
  new Map(partsList(lampOn(build)).map((line) => [line.part, packageWords(line)] as const));

/** Packages of LVC, VHC and HC parts: from memory, marked so in data/packages/in-dip.json. */
describe("parts that are not made in a dual in-line package", () => {
  test.each(["breadboard", "perfboard"])(
    "need an adapter on a %s, in the parts list and before the first wire",
    (build) => {
      expect(packages(build).get("74LVC244")).toBe("SO-20, on an adapter");
      expect(packages(build).get("74VHC163")).toBe("DIP-16, if made so");
      expect(packages(build).get("74HC163")).toBe("DIP-16");
      const [unknown, adapter, ...others] = adapterNotes(lampOn(build));
      expect(adapter).toMatch(/^74LVC244 \(U3\) is made as SO-20, not in a DIP .*from memory.*needs an adapter/);
      expect(unknown).toMatch(/^Whether 74VHC163 \(U2\) is made in a DIP is not on record .*Look before you order/);
      expect(others).toEqual([]);
    },
  );

  test("stand on a printed board as they are", () => {
    expect(packages("printed board").get("74LVC244")).toBe("SO-20");
    expect(adapterNotes(lampOn("printed board"))).toEqual([]);
    expect(pinMaps(lampOn("printed board")).every(({ isDual }) => isDual)).toBe(true);
  });

  test("are named before the wiring in text and on the page, lines no wider than 80", () => {
    const circuit = lampOn("breadboard");
    const text = wiringText(wiringList(circuit), partsList(circuit), pinMaps(circuit));
    expect(text.indexOf("74LVC244 (U3)")).toBeGreaterThan(0);
    expect(text.indexOf("74LVC244 (U3)")).toBeLessThan(text.indexOf("Rails and decoupling"));
    expect(text.split("\n").filter((line) => line.length > 80)).toEqual([]);
    expect(wiringPage(circuit, "lamp.yaml")).toContain("74LVC244 (U3) is made as SO-20");
  });
});
