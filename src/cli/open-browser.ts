import { spawn } from "node:child_process";

/** The surroundings that decide whether there is a browser to open. */
export type Screen = {
  readonly platform: NodeJS.Platform;
  readonly environment: Readonly<Record<string, string | undefined>>;
};

/** The program that opens an address in the person's browser; undefined where nobody would see it. */
export function opener({ platform, environment }: Screen): readonly [string, ...string[]] | undefined {
  if (environment["BROWSER"] === "none" || (environment["CI"] ?? "") !== "") return undefined;
  if (platform === "darwin") return ["open"];
  if (platform === "win32") return ["rundll32", "url.dll,FileProtocolHandler"];
  const hasDisplay = [environment["DISPLAY"], environment["WAYLAND_DISPLAY"]].some((name) => (name ?? "") !== "");
  return hasDisplay ? ["xdg-open"] : undefined;
}

/** Opens an address in the person's browser where there is one. Nobody waits for it, and nothing fails where it fails. */
export function openBrowser(address: string): void {
  const program = opener({ platform: process.platform, environment: process.env });
  if (!program) return;
  const [name, ...args] = program;
  const child = spawn(name, [...args, address], { stdio: "ignore", detached: true });
  child.on("error", () => undefined);
  child.unref();
}
