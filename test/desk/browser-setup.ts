import { spawnSync } from "node:child_process";
import { chromium } from "playwright-core";
import type { TestProject } from "vitest/node";
import { chromiumArguments, ensureChromium } from "../../scripts/chromium.mjs";

declare module "vitest" {
  interface ProvidedContext {
    /** Where the one browser of all tests of the desk listens. */
    readonly browser: string;
  }
}

/** Once before the tests of the desk: the built desk is brought up to date, and one browser is started for them all. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const built = spawnSync(process.execPath, ["scripts/ensure-built.mjs"], { stdio: "inherit" });
  if (built.status !== 0) throw new Error("The desk could not be built.");
  const server = await chromium.launchServer({ executablePath: ensureChromium(), args: chromiumArguments });
  project.provide("browser", server.wsEndpoint());
  return () => server.close();
}
