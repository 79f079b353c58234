/** Debian's fonts for the long tests. */
import { spawnSync } from "node:child_process";
import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { run } from "./ensure-installed.mjs";

const packages = ["xfonts-base", "xfonts-unifont", "psf-unifont"];
const folders = ["/usr/share/fonts/X11/misc", "/usr/share/consolefonts"];
const samples = [
  join(folders[0], "6x13.pcf.gz"),
  join(folders[0], "unifont.pcf.gz"),
  join(folders[1], "Unifont-APL8x16.psf.gz"),
];

/**
 * The font files, by their paths. Where some are missing, root on Debian gets them; everybody else is told what to do.
 *
 * @throws an error that says so
 */
export function ensureDebianFonts() {
  const isThere = () => samples.every((path) => existsSync(path));
  const mayInstall = process.getuid?.() === 0 && spawnSync("apt-get", ["--version"], { stdio: "ignore" }).status === 0;
  if (!isThere() && mayInstall) {
    console.error(`Installing fonts for the tests (apt-get install ${packages.join(" ")}) ...`);
    run("apt-get", ["update", "-q"]);
    run("env", ["DEBIAN_FRONTEND=noninteractive", "apt-get", "install", "-qy", "--no-install-recommends", ...packages]);
  }
  if (!isThere())
    throw new Error(`The fonts' test needs Debian's packages ${packages.join(", ")}: apt-get install them.`);
  return folders.flatMap((folder) =>
    readdirSync(folder)
      .filter((name) => /\.(pcf|psfu?)\.gz$/.test(name))
      .map((name) => join(folder, name)),
  );
}
