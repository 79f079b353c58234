import { readFile } from "node:fs/promises";
import { decode } from "fast-png";
import { expect, test } from "vitest";
import { mistakesIn } from "../paper/html-mistakes.js";
import { answerTo, newVisitor, openDesk, serve, taken, turnTo, useBrowser } from "./open-desk.js";

useBrowser();

const lamp = await readFile(new URL("tide-lamp.circuit.yaml", import.meta.url), "utf8");

test("drawings, tables and the report of a served circuit can be taken along", async () => {
  const { server } = await serve(lamp);
  const page = await openDesk(await newVisitor({ acceptDownloads: true }), server.address);
  await answerTo(page, "slots");
  await turnTo(page, "slots");
  await page.locator("button[data-verdict]").first().click();
  await page.locator(".chosen svg").first().waitFor();

  const svg = await taken(page, '.chosen .take-away button:text-is("SVG")');
  expect(svg.name).toBe("chain.svg");
  expect(svg.bytes.toString()).toMatch(/^<svg[^]*<style[^]*--ink:[^]*<\/svg>\s*$/);

  // Twice the drawing's size, with more than the colour of the paper in it.
  const png = await taken(page, '.chosen .take-away button:text-is("PNG")');
  const width = await page
    .locator(".chosen svg")
    .first()
    .evaluate((drawing) => Number(drawing.getAttribute("width")));
  const image = decode(png.bytes);
  expect(image.width).toBe(Math.round(width * 2));
  expect(new Set(image.data).size).toBeGreaterThan(10);

  const csv = await taken(page, '.take-away button:text-is("CSV")');
  expect(csv.bytes.toString()).toMatch(/^[^\r\n]*,[^]*\r\n$/);

  const report = await taken(page, 'button:text-is("Report to print")');
  expect(report.name).toBe("tide-lamp.report.html");
  expect(report.bytes.toString()).toContain("Tide lamp: report");
  // It is the book of the command line: laid out, and with what was worked out for the answers.
  for (const heading of ["Block diagram", "Pin-level diagram", "Bringing it up", "Does every slot fit?"]) {
    expect(report.bytes.toString()).toContain(`>${heading}</h2>`);
  }
  expect(report.bytes.toString()).toContain('data-pin="U');
  expect(await mistakesIn(report.bytes.toString())).toEqual([]);
});
