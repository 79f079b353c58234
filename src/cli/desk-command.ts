import { resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { BadInput } from "./bad-input.js";
import { defineCommand } from "./command.js";
import { type DeskPages, readDeskPages } from "./desk-pages.js";
import { type DeskServer, type DeskServing, serveDesk } from "./desk-server.js";
import { readText } from "./files.js";
import { openBrowser } from "./open-browser.js";

/** The same port every time, because a browser keeps drafts and ticks by address. */
const usualPort = 6480;
/** How many further ports are tried where another desk has the usual one. */
const morePorts = 20;
/** Where the build puts the desk, beside the compiled command line. */
const built = fileURLToPath(new URL("../desk/", import.meta.url));

export const deskCommand = defineCommand({
  name: "desk",
  summary: "Open a circuit file in the browser: the answers stand beside the text and follow it",
  arguments: { file: { summary: "the circuit file; it is followed while others change it too" } },
  options: {
    port: {
      kind: "number",
      value: "n",
      summary: `the port on this computer; ${usualPort} by default, or the next that is free`,
      least: 0,
      greatest: 65535,
      whole: true,
    },
    parts: { kind: "text", value: "file", summary: "the own parts file that the circuit file names" },
    noOpen: { kind: "flag", summary: "only print the address; open no browser" },
  },
  examples: ["npx dotwright desk examples/tide-board.circuit.yaml"],
  async run({ arguments: { file }, options: { port, parts, noOpen }, running }) {
    await readText(file);
    if (parts !== undefined) await readText(parts);
    const serving = {
      pages: await deskPages(),
      circuitPath: resolve(file),
      partsPath: parts === undefined ? undefined : resolve(parts),
    };
    const server = port === undefined ? await serveAnywhere(serving) : await serveAt(serving, port);
    const { address } = server;
    running.say(`The desk is open at ${address} and follows ${file}. Ctrl-C closes it.`, { address, file });
    if (!noOpen) openBrowser(address);
    await running.untilStopped();
    await server.close();
    return { exitCode: 0, text: "", json: undefined };
  },
});

async function deskPages(): Promise<DeskPages> {
  try {
    return await readDeskPages(built);
  } catch (error) {
    if (codeOf(error) !== "ENOENT") throw error;
    throw new BadInput(`the desk has not been built into ${built}: run 'npm run build'`);
  }
}

async function serveAnywhere(serving: DeskServing): Promise<DeskServer> {
  for (let port = usualPort; port < usualPort + morePorts; port += 1) {
    try {
      return await serveDesk(serving, port);
    } catch (error) {
      if (!["EADDRINUSE", "EACCES"].includes(codeOf(error) ?? "")) throw error;
    }
  }
  return serveDesk(serving, 0);
}

async function serveAt(serving: DeskServing, port: number): Promise<DeskServer> {
  try {
    return await serveDesk(serving, port);
  } catch (error) {
    const code = codeOf(error);
    if (code === "EADDRINUSE") throw new BadInput(`--port ${port}: another program uses this port; give another one`);
    if (code === "EACCES") throw new BadInput(`--port ${port}: no permission to use this port; give one above 1023`);
    throw error;
  }
}

function codeOf(error: unknown): string | undefined {
  return error instanceof Error && "code" in error && typeof error.code === "string" ? error.code : undefined;
}
