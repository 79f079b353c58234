import { readFile } from "node:fs/promises";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import {
  type Fault,
  type FaultBench,
  type Signature,
  Suspicion,
  faultBenchOf,
  observationOf,
  observationText,
  readNotebook,
  simulateEdits,
} from "../../src/bench/index.js";
import { readCircuit } from "../../src/circuit/index.js";
import { look } from "./look.js";
import { newVisitor, openDesk, serve, turnTo, useBrowser } from "./open-desk.js";

useBrowser();

const lamp = await readFile(new URL("tide-lamp.circuit.yaml", import.meta.url), "utf8");

/** A board with one fault, as somebody measures it. */
function boardWith(text: string, choose: (fault: Fault) => boolean) {
  const { circuit } = readCircuit(text, "tide-lamp.circuit.yaml");
  if (!circuit) throw new Error("the lamp's file has mistakes");
  const bench: FaultBench = faultBenchOf(circuit);
  const fault = bench.faults.find(choose);
  if (!fault) throw new Error("there is no such fault");
  const signatures: readonly Signature[] = simulateEdits(bench, [fault.edit]);
  const suspicion = new Suspicion(bench, signatures, [fault]);
  const measure = (place: string) => {
    const pin = bench.board.find(place);
    if (!pin) throw new Error(`there is no pin ${place}`);
    return observationText(observationOf(pin.id, suspicion.readingsAt(0, pin.id)[0]));
  };
  return { fault, measure };
}

/** Measures where the page says until it knows no further pin, or for so many times. */
async function probe(page: Page, measure: (place: string) => string, most: number): Promise<void> {
  for (let probes = 0; probes < most; probes++) {
    const next = page.locator(".next");
    if ((await next.count()) === 0) return;
    const place = (await next.locator("strong .mono").innerText()).split(" ")[0] ?? "";
    await next.locator("input").fill(measure(place).replace("open: no level", "open"));
    await next.getByRole("button").press("Enter");
    await page.locator("[data-measured] td", { hasText: `${place}=` }).waitFor();
    // What is to be measured next is found a moment after the measurement stands on the page.
    const measured = next.locator("strong .mono", { hasText: new RegExp(`^${place} `) });
    await measured.waitFor({ state: "detached" });
  }
}

test("whoever measures where the page says is led to the wire that is missing, and finds all of it there the next time", async () => {
  const { fault, measure } = boardWith(lamp, ({ kind, text }) => kind === "missing" && text.includes("U1.13"));
  const { path, server } = await serve(lamp);
  const visitor = await newVisitor();
  const page = await openDesk(visitor, server.address);
  await turnTo(page, "bench");
  await page.getByText(/^\d+ single faults are simulated/).waitFor({ timeout: 120_000 });
  await probe(page, measure, 7);
  const suspects = page.locator(".suspects tbody tr");
  expect((await suspects.allInnerTexts()).slice(0, 3).join("\n")).toContain(fault.text);

  const found = page.getByLabel("Found at X1.8 OUT");
  await found.fill("4 MHz");
  await found.press("Tab");
  await page.getByText(/4\.000 MHz in place of 8\.000 MHz\. It is 1\/2 times 8\.000 MHz/).waitFor();
  await page.getByLabel("1. The supply, without chips").check();
  await page.getByLabel("What to note").fill("a wire at U1 was missing");
  await page.getByRole("button", { name: "Add it" }).press("Enter");
  await page.getByRole("button", { name: /^Add \d measurements$/ }).click();
  await page.getByRole("button", { name: /^Add \d measurements$/ }).waitFor({ state: "detached" });
  const { entries, problems } = readNotebook(await readFile(path.replace(".circuit.yaml", ".notebook.txt"), "utf8"));
  expect(problems).toEqual([]);
  expect(entries[0]).toMatchObject({ kind: "found", text: "a wire at U1 was missing" });
  const measured = await page.locator("[data-measured] td.mono").allInnerTexts();
  expect(entries.filter(({ kind }) => kind === "measured").map(({ text }) => text)).toEqual(measured.slice(1));

  await page.goto("about:blank");
  await page.goto(`${server.address}#bench`);
  await page.getByText(/^\d+ single faults are simulated/).waitFor({ timeout: 60_000 });
  await expect.poll(() => page.locator("[data-measured] td.mono").allInnerTexts()).toEqual(measured);
  expect(await page.getByLabel("1. The supply, without chips").isChecked()).toBe(true);
  expect(await page.getByLabel("Found at X1.8 OUT").inputValue()).toBe("4 MHz");
  expect(await look(page, "bench")).toEqual([]);
});

test("a capture in which a net stands still counts as measured, and one that cannot be read is told with its line", async () => {
  const { server } = await serve(lamp);
  const page = await openDesk(await newVisitor(), server.address);
  await turnTo(page, "bench");
  await page
    .getByText(/single faults/)
    .first()
    .waitFor({ timeout: 120_000 });
  const capture = page.locator("input[accept='.vcd,.csv,.tsv,.txt']");
  const lines = Array.from({ length: 400 }, (_, at) => `${at * 62.5},${at % 2},0,1`);
  const table = (rows: readonly string[]) => Buffer.from(["time [ns],CLK,N1,probe", ...rows].join("\n"));
  await capture.setInputFiles({ name: "lamp.csv", mimeType: "text/csv", buffer: table(lines) });
  await page.getByText("The capture has 2 nets of the circuit.").waitFor();
  const row = page.locator("[aria-label='Channels of the capture'] tr", { hasText: /^\s*N1/ });
  expect((await row.locator("td").allInnerTexts()).slice(1)).toEqual(["N1", "low", "2.000 MHz, 50 % high"]);
  await page.getByLabel("Net of channel probe").selectOption("N3");
  await page.getByText("The capture has 3 nets of the circuit.").waitFor();
  await capture.setInputFiles({ name: "lamp.csv", mimeType: "text/csv", buffer: table([...lines, "17,1"]) });
  await page.getByText("lamp.csv: line 402: has 2 columns; 4 were expected").waitFor();
});

test("a photograph whose corners are set by the keyboard is compared with the pictures that faults make", async () => {
  const { server } = await serve(await readFile("examples/tide-board.circuit.yaml", "utf8"), "tide-board.circuit.yaml");
  const page = await openDesk(await newVisitor(), server.address);
  await turnTo(page, "bench");
  // The pictures come as they are simulated; a few are enough.
  await page.locator(".look canvas").first().waitFor({ timeout: 170_000 });
  await page.getByRole("button", { name: "Stop" }).click();
  await page.getByText("Simulate the rest").waitFor();
  const shot = await page.locator(".look canvas").first().screenshot();
  await page
    .locator("input[accept='image/*']")
    .setInputFiles({ name: "screen.png", mimeType: "image/png", buffer: shot });
  await page.getByText("Nearest to it, the nearest first").waitFor();
  const corner = page.getByRole("button", { name: /^Corner at the top left/ });
  await corner.press("Shift+ArrowLeft");
  await corner.press("ArrowUp");
  const placed = await corner.getAttribute("aria-label");
  const left = Number(await page.getByLabel("top left, from the left").inputValue());
  expect(placed).toBe(
    `Corner at the top left: ${left}, ${await page.getByLabel("top left, from the top").inputValue()}`,
  );
  // The whole of it is the picture.
  const [wide, high] = ((await page.locator(".places caption").innerText()).match(/\d+/g) ?? []).map(Number);
  for (const [name, x, y] of [
    ["top left", 0, 0],
    ["top right", wide, 0],
    ["bottom right", wide, high],
    ["bottom left", 0, high],
  ] as const) {
    await page.getByLabel(`${name}, from the left`).fill(String(x));
    await page.getByLabel(`${name}, from the top`).fill(String(y));
    await page.getByLabel(`${name}, from the top`).press("Tab");
  }
  await expect.poll(() => page.locator("[aria-labelledby='bench-photo'] .look").first().innerText()).toContain("1.");
  expect(await look(page, "bench")).toEqual([]);
});
