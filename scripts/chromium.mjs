/** Finds the browser for the tests and benches of the desk: Chromium, or a browser made of it. */
import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { delimiter, join } from "node:path";
import { run } from "./ensure-installed.mjs";

const names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge"];
const elsewhere = {
  darwin: [
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
  ],
  win32: ["PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"]
    .map((name) => process.env[name])
    .filter((folder) => folder !== undefined)
    .flatMap((folder) => [
      join(folder, "Google\\Chrome\\Application\\chrome.exe"),
      join(folder, "Microsoft\\Edge\\Application\\msedge.exe"),
    ]),
};

/** What a browser needs in a container, and what keeps it from asking the network for anything. */
export const chromiumArguments = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"];

function find() {
  const named = process.env.CHROMIUM;
  if (named) return existsSync(named) ? named : undefined;
  const folders = (process.env.PATH ?? "").split(delimiter);
  const onPath = names.flatMap((name) => folders.map((folder) => join(folder, name)));
  return [...onPath, ...(elsewhere[process.platform] ?? [])].find((path) => existsSync(path));
}

function mayInstall() {
  return process.getuid?.() === 0 && spawnSync("apt-get", ["--version"], { stdio: "ignore" }).status === 0;
}

/**
 * The path of the browser. Where there is none, root on Debian gets one; everybody else is told what to do.
 *
 * @throws an error that says so
 */
export function ensureChromium() {
  const found = find();
  if (found) return found;
  if (!process.env.CHROMIUM && mayInstall()) {
    console.error("Installing Chromium for the tests of the desk (apt-get install chromium) ...");
    const packages = ["chromium", "fonts-dejavu-core"];
    run("apt-get", ["update", "-q"]);
    run("env", ["DEBIAN_FRONTEND=noninteractive", "apt-get", "install", "-qy", "--no-install-recommends", ...packages]);
  }
  const installed = find();
  if (installed) return installed;
  const wrong = process.env.CHROMIUM ? `CHROMIUM names ${process.env.CHROMIUM}, which is not there. ` : "";
  throw new Error(
    `${wrong}The tests of the desk need Chromium, which was not found. Install it (on Debian: apt-get install chromium) or ` +
      "name its program: CHROMIUM=/path/to/chromium npm test",
  );
}
