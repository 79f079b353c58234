import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";

const root = new URL("../../", import.meta.url).pathname;
const page = readFileSync(join(root, "docs/library.md"), "utf8");

/** Each program of the page, and what the page says that it prints. */
const examples = [...page.matchAll(/^## (.+)$[^]*?^```ts\n([^]*?)^```\n\n(?:[^#]*?)^```text\n([^]*?)^```/gm)].map(
  ([, title = "", code = "", printed = ""]) => ({ title, code, printed }),
);

let folder = "";

function run(command: string, args: readonly string[], cwd: string): string {
  return execFileSync(command, args, { cwd, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
}

beforeAll(() => {
  run(process.execPath, ["scripts/ensure-built.mjs"], root);
  folder = mkdtempSync(join(tmpdir(), "dotwright-package-"));
  const packed: unknown = JSON.parse(
    run("npm", ["pack", "--ignore-scripts", "--json", "--pack-destination", folder], root),
  );
  const [{ filename }] = packed as [{ filename: string }];
  writeFileSync(join(folder, "package.json"), `{ "name": "elsewhere", "private": true, "type": "module" }\n`);
  run("npm", ["install", "--prefer-offline", "--no-audit", "--no-fund", `./${filename}`], folder);
  cpSync(join(folder, "node_modules/dotwright/examples"), join(folder, "examples"), { recursive: true });
}, 300_000);

afterAll(() => rmSync(folder, { recursive: true, force: true }), 120_000);

describe("the packed package, installed in an empty folder", () => {
  test("has the command", () => {
    expect(run("npx", ["--no-install", "dotwright", "version"], folder)).toMatch(/^dotwright \d/);
    const drawer = run("npx", ["--no-install", "dotwright", "parts", "--own", "examples/drawer.parts.yaml"], folder);
    expect(drawer).toContain("74HC379");
  });

  test("has types under which every example of the library's page is right", () => {
    for (const [index, { code }] of examples.entries()) writeFileSync(join(folder, `example-${index}.ts`), code);
    const options = ["--strict", "--noEmit", "--module", "nodenext", "--target", "es2022", "--types", "node"];
    const types = ["--typeRoots", join(root, "node_modules/@types")];
    const compiler = join(root, "node_modules/typescript-native/bin/tsc");
    run(
      process.execPath,
      [compiler, ...options, ...types, ...examples.map((_, index) => `example-${index}.ts`)],
      folder,
    );
    expect(examples.length).toBeGreaterThanOrEqual(4);
  });

  test.each(examples)("does what the page says: $title", ({ code, printed }) => {
    writeFileSync(join(folder, "example.mjs"), code.replaceAll(" as const;", ";"));
    expect(run(process.execPath, ["example.mjs"], folder).replaceAll(/ +$/gm, "")).toBe(printed);
  });
});
