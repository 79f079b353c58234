import { accessSync, constants } from "node:fs";
import { delimiter, join } from "node:path";

/** The surroundings in which a browser is looked for. */
export type BrowserSearch = {
  readonly platform: NodeJS.Platform;
  readonly environment: Readonly<Record<string, string | undefined>>;
  readonly isProgram: (path: string) => boolean;
};

/** Programs that print a page to PDF without a window; all understand the same options. */
const names = [
  "chromium",
  "chromium-browser",
  "google-chrome",
  "google-chrome-stable",
  "chrome",
  "microsoft-edge",
  "microsoft-edge-stable",
  "msedge",
];

const onMac = [
  "/Applications/Chromium.app/Contents/MacOS/Chromium",
  "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
  "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
];

const onWindows = [
  "Google\\Chrome\\Application\\chrome.exe",
  "Microsoft\\Edge\\Application\\msedge.exe",
  "Chromium\\Application\\chrome.exe",
];

/** The first browser on this machine that can print to PDF; undefined where there is none in the usual places. */
export function foundBrowser(search: BrowserSearch): string | undefined {
  return placesIn(search).find(search.isProgram);
}

function placesIn({ platform, environment }: BrowserSearch): string[] {
  if (platform === "win32") {
    const folders = ["PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"].flatMap((name) => environment[name] ?? []);
    return folders.flatMap((folder) => onWindows.map((path) => `${folder}\\${path}`));
  }
  const folders = (environment["PATH"] ?? "").split(delimiter).filter((folder) => folder !== "");
  const onPath = names.flatMap((name) => folders.map((folder) => join(folder, name)));
  return platform === "darwin" ? [...onMac, ...onPath] : onPath;
}

/** Whether a path is a file that may be run. */
export function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}
