import { readFile } from "node:fs/promises";
import { expect, test } from "vitest";
import { isRefused, readImage } from "../../src/loading/index.js";
import { newVisitor, openDesk, serve, taken, turnTo, useBrowser } from "./open-desk.js";

useBrowser();

test("a text is sent into the running tide board, and what is seen is what the image to keep holds", async () => {
  const { server } = await serve(await readFile("examples/tide-board.circuit.yaml", "utf8"), "tide-board.circuit.yaml");
  const page = await openDesk(await newVisitor({ acceptDownloads: true }), server.address);
  await turnTo(page, "fill");
  const send = page.getByRole("button", { name: "Send it" });
  await send.waitFor({ timeout: 120_000 });
  await page.locator("textarea[name=text]").fill("HIGH WATER");
  await page.locator("input[name=scale]").fill("5");
  await send.click();
  await page
    .getByText(/^All 9,600 bytes are sent, 2\d\d\.\d ms of the circuit's time\.$/)
    .waitFor({ timeout: 120_000 });
  // The frame in which the last byte came shows it from where the beam was; the next ones show all of it.
  const { name, bytes } = await taken(page, 'button:text-is("Intel HEX")');
  expect(name).toBe("tide-board.hex");
  const image = readImage(new Uint8Array(bytes), 32_768, "hex");
  if (isRefused(image)) throw new Error(image.problem);
  // docs/tide-board.md: the byte at row x 64 + column, bit 7 leftmost.
  const held = Array.from({ length: 320 * 240 }, (_, dot) => {
    const [x, y] = [dot % 320, Math.floor(dot / 320)];
    return ((image.bytes[64 * y + (x >> 3)] ?? 0) >> (7 - (x & 7))) & 1;
  }).join("");
  const seen = () =>
    page.locator("section.live canvas").evaluate((canvas: HTMLCanvasElement) => {
      const { data } = canvas.getContext("2d")?.getImageData(0, 0, canvas.width, canvas.height) ?? { data: [] };
      let dots = "";
      for (let at = 0; at < data.length; at += 4) dots += data[at] === 255 ? "1" : "0";
      return dots;
    });
  await expect.poll(async () => (await seen()) === held, { timeout: 60_000 }).toBe(true);
  expect(held).toContain("1111111111");
  expect(await page.locator("main pre").first().innerText()).toContain(
    "At least 2.6 µs a byte: 384,615 bytes a second.",
  );
});
