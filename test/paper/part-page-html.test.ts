import { describe, expect, test } from "vitest";
import { partPage } from "../../src/paper/part-page.js";
import { partPageHtml } from "../../src/paper/part-page-html.js";
import { atHome, part } from "../parts/conditions.js";
import { mistakesIn, reachesOut } from "./html-mistakes.js";

const htmlOf = (number: string) => partPageHtml(partPage(part(number), atHome), "dotwright");
const headingsIn = (html: string) => [...html.matchAll(/<h2[^>]*>([^<]*)<\/h2>/g)].map(([, heading]) => heading);

describe("a part's page to look at or to print", () => {
  test.each([
    "74AHC574",
    "74HC688",
    "74LS74",
    "62256-70",
    "27C256-150",
    "7130-55",
    "OSC-25.175MHz",
    "Z84C00",
    "74HC85",
  ])("is valid HTML that needs no network and no scripts: %s", async (number) => {
    const html = htmlOf(number);
    expect(await mistakesIn(html)).toEqual([]);
    expect(reachesOut(html)).toEqual([]);
  });

  test("is in the order of a data sheet", () => {
    expect(headingsIn(htmlOf("74AHC574"))).toEqual([
      "Pins, seen from above",
      "Function",
      "Delays",
      "Requirements",
      "Levels",
      "In its place, with the same pins",
      "Sources",
    ]);
    expect(headingsIn(htmlOf("62256-70"))).toEqual([
      "Pins, seen from above",
      "Function",
      "Times",
      "Levels",
      "In its place, with the same pins",
      "Sources",
    ]);
    expect(headingsIn(htmlOf("Z84C00"))).toEqual(["Pins, seen from above", "Levels", "On the bus", "Sources"]);
  });

  /** Texas Instruments SCLS244 as on record: CLK to Q 12 ns at most at 85 °C and 5 V. */
  test("gives each figure with its mark and a source that stands below", () => {
    const html = htmlOf("74AHC574");
    expect(html).toMatch(/CLK ↑<\/td>.*<td class="number">12\.0<\/td><td>m<\/td><td><a href="#source-1">/);
    expect(html).toContain('<li id="source-1">Texas Instruments SCLS244');
    for (const [, id = ""] of html.matchAll(/href="#([^"]*)"/g)) expect(html).toContain(`id="${id}"`);
  });

  test("shows the pins as the pin map draws them, and says them to those who do not see it", () => {
    const html = htmlOf("74AHC574");
    expect(html).toContain("Pins of 74AHC574, DIP-20, seen from above");
    expect(html).toMatch(/1 OE#: in; 2 1D: in;/);
  });

  test("says what is not covered", () => {
    expect(htmlOf("27C256-150")).toContain('<span class="word">not covered</span>');
  });
});
