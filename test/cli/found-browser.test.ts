import { expect, test } from "vitest";
import { foundBrowser } from "../../src/cli/found-browser.js";
import { printPdf } from "../../src/cli/print-pdf.js";

test("a browser that prints is found on the path, the first of those that are known", () => {
  const there = new Set(["/opt/bin/google-chrome", "/usr/bin/chromium"]);
  const search = {
    platform: "linux" as const,
    environment: { PATH: "/opt/bin:/usr/bin" },
    isProgram: (path: string) => there.has(path),
  };
  expect(foundBrowser(search)).toBe("/usr/bin/chromium");
  there.delete("/usr/bin/chromium");
  expect(foundBrowser(search)).toBe("/opt/bin/google-chrome");
  there.clear();
  expect(foundBrowser(search)).toBeUndefined();
});

test("a browser is found among the programs of Windows", () => {
  const edge = "C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe";
  const environment = { PROGRAMFILES: "C:\\Program Files", "PROGRAMFILES(X86)": "C:\\Program Files (x86)" };
  expect(foundBrowser({ platform: "win32", environment, isProgram: (path) => path === edge })).toBe(edge);
});

test("a browser that cannot be run is named in a plain sentence", async () => {
  await expect(printPdf("<p>page", "/no/such/browser")).rejects.toThrow(/^\/no\/such\/browser: cannot be run: /);
});

test("a program that prints nothing is named in a plain sentence", async () => {
  await expect(printPdf("<p>page", "/bin/true")).rejects.toThrow("/bin/true: printed nothing");
});
