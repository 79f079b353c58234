import { readFile, rm, writeFile } from "node:fs/promises";
import { expect, test } from "vitest";
import {
  answerTo,
  forgive,
  newVisitor,
  openDesk,
  rewrite,
  serve,
  standing,
  textOf,
  turnTo,
  useBrowser,
} from "./open-desk.js";

useBrowser();

const lamp = await readFile(new URL("tide-lamp.circuit.yaml", import.meta.url), "utf8");

test("a served file stands in the editor and is judged with the worst margin of its RAM", async () => {
  const { server } = await serve(lamp);
  const page = await openDesk(await newVisitor(), server.address);
  expect(await answerTo(page, "slots")).toContain("Every slot fits: 10 rules at 27 places hold");
  expect(await page.locator("h1").innerText()).toBe("Tide lamp");
  expect(await textOf(page)).toContain("part: 62256-25");
});

test("a file that is changed elsewhere is followed, with cursor and view where they were", async () => {
  const { path, server } = await serve(`${lamp}${"# remark\n".repeat(200)}`);
  const page = await openDesk(await newVisitor(), server.address);
  await answerTo(page, "slots");
  await page.locator(".cm-scroller").evaluate((view) => view.scrollTo(0, 900));
  await writeFile(path, `${lamp.replace("62256-25", "62256-70")}${"# remark\n".repeat(200)}`);
  await expect.poll(() => answerTo(page, "slots"), { timeout: 20_000 }).toContain("8 of 27 checks fail");
  expect(await page.locator(".cm-scroller").evaluate((view) => view.scrollTop)).toBe(900);
  expect(await page.locator("#notice").innerText()).toBe("");
});

test("saving writes the file, and the other page that shows it follows", async () => {
  const { path, server } = await serve(lamp);
  const visitor = await newVisitor();
  const [page, other] = [await openDesk(visitor, server.address), await openDesk(visitor, server.address)];
  await rewrite(page, "Tide lamp", "Ebb lamp");
  await expect.poll(() => page.locator(".file").innerText()).toContain("not saved");
  await page.keyboard.press("Control+s");
  await expect.poll(() => page.locator(".file").innerText()).not.toContain("not saved");
  expect(await readFile(path, "utf8")).toBe(lamp.replace("Tide lamp", "Ebb lamp"));
  await expect.poll(() => textOf(other), { timeout: 10_000 }).toContain("Ebb lamp");
});

test("of changes here and elsewhere neither is lost: the page asks", async () => {
  const { path, server } = await serve(lamp);
  const page = await openDesk(await newVisitor(), server.address);
  await rewrite(page, "Tide lamp", "My lamp");
  await writeFile(path, lamp.replace("Tide lamp", "Their lamp"));
  const notice = page.locator("#notice");
  await expect.poll(() => notice.innerText(), { timeout: 10_000 }).toContain("changed elsewhere");
  expect(await textOf(page)).toContain("My lamp");
  await notice.getByRole("button", { name: "Take the file's text" }).click();
  expect(await textOf(page)).toContain("Their lamp");
  await page.locator(".cm-content").press("Control+z");
  expect(await textOf(page)).toContain("My lamp");
});

test("a save that comes too late leaves the file as it is and says so", async () => {
  const { path, server } = await serve(lamp);
  const visitor = await newVisitor();
  const page = await openDesk(visitor, server.address);
  // Nobody tells this page of changes.
  await page.route("**/changes", (route) => route.abort());
  await page.reload();
  await standing(page);
  await rewrite(page, "Tide lamp", "Late lamp");
  await writeFile(path, lamp.replace("Tide lamp", "Early lamp"));
  await page.keyboard.press("Control+s");
  await expect.poll(() => page.locator("#notice").innerText()).toContain("changed elsewhere");
  expect(await readFile(path, "utf8")).toContain("Early lamp");
  expect(await textOf(page)).toContain("Late lamp");
  forgive(/409|ERR_FAILED/);
});

test("a file that is deleted is told, and welcome back", async () => {
  const { path, server } = await serve(lamp);
  const page = await openDesk(await newVisitor(), server.address);
  await rm(path);
  await expect.poll(() => page.locator("#notice").innerText(), { timeout: 10_000 }).toContain("there is no such file");
  await writeFile(path, lamp);
  await expect.poll(() => page.locator("#notice").innerText(), { timeout: 10_000 }).toBe("");
  forgive(/404/);
});

test("changes that were not saved are offered on the next visit, and to no other file of that name", async () => {
  const { server } = await serve(lamp);
  const visitor = await newVisitor();
  const page = await openDesk(visitor, server.address);
  await rewrite(page, "Tide lamp", "Draft lamp");
  await expect.poll(() => page.locator(".file").innerText()).toContain("not saved");
  await page.reload();
  await standing(page);
  const notice = page.locator("#notice");
  await expect.poll(() => notice.innerText()).toContain("An earlier visit left changes");
  expect(await textOf(page)).toContain("Tide lamp");
  await notice.getByRole("button", { name: "Take up" }).click();
  expect(await textOf(page)).toContain("Draft lamp");
  const other = await serve(lamp);
  const elsewhere = await openDesk(visitor, other.server.address);
  await turnTo(elsewhere, "wiring");
  expect(await elsewhere.locator("#notice").innerText()).toBe("");
});
