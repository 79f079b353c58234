import { readFile } from "node:fs/promises";
import { join } from "node:path";

/** The built desk, read once: what is asked for later never leads to the disk. */
export type DeskPages = {
  /** The page, told which file it is served with, and by which nonce it may bring styles of its own. */
  readonly index: (nonce: string, fileIdentity: string) => string;
  readonly files: ReadonlyMap<string, { readonly type: string; readonly content: Uint8Array }>;
};

const types: { readonly [name: string]: string } = {
  "desk.js": "text/javascript; charset=utf-8",
  "examples.js": "text/javascript; charset=utf-8",
  "planning.js": "text/javascript; charset=utf-8",
  "fill.js": "text/javascript; charset=utf-8",
  "thorough.js": "text/javascript; charset=utf-8",
  "report.js": "text/javascript; charset=utf-8",
  "bench.js": "text/javascript; charset=utf-8",
  "desk.css": "text/css; charset=utf-8",
};

/** Reads the desk that `npm run build` has put into a folder. */
export async function readDeskPages(folder: string): Promise<DeskPages> {
  const page = await readFile(join(folder, "index.html"), "utf8");
  const files = new Map<string, { type: string; content: Uint8Array }>();
  for (const [name, type] of Object.entries(types)) {
    files.set(`/${name}`, { type, content: await readFile(join(folder, name)) });
  }
  return {
    index: (nonce, fileIdentity) =>
      page
        .replace("<html ", `<html data-served="true" data-file="${fileIdentity}" `)
        .replace("</title>", `</title>\n    <meta name="nonce" content="${nonce}" />`),
    files,
  };
}
