import { spawn } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { BadInput } from "./bad-input.js";

/** A page with many drawings takes a slow machine a minute; a browser that takes longer hangs. */
const PATIENCE_MS = 300_000;

/**
 * Prints a page of HTML to PDF by a browser without a window, in sizes and margins of the page's own style.
 *
 * @throws BadInput when the browser cannot be run or prints nothing
 */
export async function printPdf(html: string, browser: string): Promise<Uint8Array> {
  const folder = await mkdtemp(join(tmpdir(), "dotwright-print-"));
  try {
    const [page, pdf] = [join(folder, "page.html"), join(folder, "page.pdf")];
    await writeFile(page, html);
    const said = await run(browser, [
      "--headless",
      "--disable-gpu",
      // The page needs nothing from anywhere, and the browser is to ask for nothing of its own.
      "--disable-background-networking",
      "--disable-component-update",
      "--no-first-run",
      "--no-pdf-header-footer",
      "--generate-pdf-document-outline",
      `--user-data-dir=${join(folder, "profile")}`,
      // Browsers refuse to run as root with their sandbox; the page is our own and has no scripts.
      ...(process.getuid?.() === 0 ? ["--no-sandbox"] : []),
      `--print-to-pdf=${pdf}`,
      pathToFileURL(page).href,
    ]);
    return await readFile(pdf).catch(() => {
      throw new BadInput(`${browser}: printed nothing${said === "" ? "" : `: ${said}`}`);
    });
  } finally {
    await rm(folder, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  }
}

/** Runs a program to its end; what it wrote to its standard error last. */
function run(program: string, args: readonly string[]): Promise<string> {
  return new Promise((resolve, reject) => {
    const child = spawn(program, args, { stdio: ["ignore", "ignore", "pipe"], timeout: PATIENCE_MS });
    let said = "";
    child.stderr.setEncoding("utf8").on("data", (text: string) => (said = (said + text).slice(-2000)));
    child.on("error", (error) => reject(new BadInput(`${program}: cannot be run: ${error.message}`)));
    child.on("close", () => resolve(said.trim().split("\n").at(-1) ?? ""));
  });
}
