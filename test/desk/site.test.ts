import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { expect, test } from "vitest";
import { deskOnSite } from "../../scripts/site/site.mjs";
import { deskFolder, newVisitor, openDesk, useBrowser } from "./open-desk.js";

useBrowser();

test("the desk on the site leads back to the documentation, from a folder and without a network", async () => {
  const folder = await mkdtemp(join(tmpdir(), "site-"));
  try {
    const desk = join(folder, "desk");
    await cp(deskFolder, desk, { recursive: true });
    await writeFile(join(desk, "index.html"), deskOnSite(await readFile(join(desk, "index.html"), "utf8")));
    await writeFile(join(folder, "index.html"), "<!doctype html><title>The documentation</title>");
    const page = await openDesk(await newVisitor({ offline: true }), pathToFileURL(join(desk, "index.html")).href);
    await page.getByRole("link", { name: "How it works" }).click();
    await page.waitForURL(pathToFileURL(join(folder, "index.html")).href);
    expect(await page.title()).toBe("The documentation");
  } finally {
    await rm(folder, { recursive: true });
  }
});
