import { createHash, randomBytes } from "node:crypto";
import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { basename, dirname, relative, sep } from "node:path";
import { readEntry } from "../bench/index.js";
import { BadInput } from "./bad-input.js";
import { protection, refusal } from "./desk-guard.js";
import type { DeskPages } from "./desk-pages.js";
import { largestFile } from "./files.js";
import { FollowedFile } from "./followed-file.js";
import { addToNotebook, readNotebookBeside } from "./notebook-file.js";

/** What the desk's server is to serve. */
export type DeskServing = {
  readonly pages: DeskPages;
  readonly circuitPath: string;
  /** The own parts file; without one none is read, whatever the circuit file names. */
  readonly partsPath?: string | undefined;
};

export type DeskServer = {
  readonly port: number;
  readonly address: string;
  close(): Promise<void>;
};

/** A browser opens six connections to a server at most; what waits for changes must leave some for the rest. */
const mostFollowers = 4;
/** Milliseconds after which a browser asks again to be told of changes. */
const retryTime = 2000;

/**
 * Serves the desk and one circuit file on the loopback address.
 *
 * @throws what the system says where the port cannot be had (`code` EADDRINUSE, EACCES)
 */
export async function serveDesk(serving: DeskServing, port: number): Promise<DeskServer> {
  const desk = new Desk(serving);
  const server = createServer((request, response) => void desk.answer(request, response, portOf(server)));
  try {
    await new Promise<void>((resolve, reject) => {
      server.once("error", reject);
      server.listen({ host: "127.0.0.1", port, exclusive: true }, resolve);
    });
  } catch (error) {
    // What goes on following the file would keep the program from ending.
    desk.close();
    throw error;
  }
  return {
    port: portOf(server),
    address: `http://127.0.0.1:${portOf(server)}/`,
    close: () =>
      new Promise((resolve) => {
        desk.close();
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}

function portOf(server: Server): number {
  return (server.address() as AddressInfo | null)?.port ?? 0;
}

/** What is sent back: an answer to read, or one that stays open for events. */
type Reply =
  | { readonly status: number; readonly type?: string; readonly body: string | Uint8Array; readonly allow?: string }
  | "events";

class Desk {
  readonly #pages: DeskPages;
  readonly #circuit: FollowedFile;
  /** By this a browser knows the drafts of this file from those of others of the same name. */
  readonly #identity: string;
  readonly #parts: FollowedFile | undefined;
  readonly #followers = new Set<ServerResponse>();
  #lastNote: Promise<unknown> = Promise.resolve();
  readonly #stop: readonly (() => void)[];

  constructor({ pages, circuitPath, partsPath }: DeskServing) {
    this.#pages = pages;
    this.#circuit = new FollowedFile(circuitPath);
    this.#identity = createHash("sha256").update(circuitPath).digest("hex").slice(0, 16);
    this.#parts = partsPath === undefined ? undefined : new FollowedFile(partsPath);
    const tell = (): void => {
      for (const follower of this.#followers) follower.write(changeEvent);
    };
    this.#stop = [this.#circuit, ...(this.#parts ? [this.#parts] : [])].map((file) => file.follow(tell));
  }

  close(): void {
    for (const stop of this.#stop) stop();
    for (const follower of this.#followers) follower.end();
  }

  async answer(request: IncomingMessage, response: ServerResponse, port: number): Promise<void> {
    const nonce = randomBytes(16).toString("base64");
    for (const [name, value] of Object.entries(protection(nonce))) if (value) response.setHeader(name, value);
    const reply = await this.#reply(request, port, nonce).catch((error: unknown) =>
      error instanceof BadInput ? said(404, error.message) : said(500, "The desk's server has a fault of its own."),
    );
    if (reply === "events") {
      this.#startEvents(response);
      return;
    }
    const { status, type = "text/plain; charset=utf-8", body, allow } = reply;
    if (allow !== undefined) response.setHeader("Allow", allow);
    // What of a refused request is still on its way is not waited for.
    if (!request.complete) response.on("finish", () => request.destroy()).setHeader("Connection", "close");
    response.writeHead(status, { "Content-Type": type, "Content-Length": Buffer.byteLength(body) });
    response.end(request.method === "HEAD" ? undefined : body);
  }

  async #reply(request: IncomingMessage, port: number, nonce: string): Promise<Reply> {
    const method = request.method ?? "";
    const [path = ""] = (request.url ?? "").split("?");
    const refused = refusal({ method, path, headers: request.headers }, port);
    if (refused !== undefined) return said(403, refused);
    const isRead = method === "GET" || method === "HEAD";
    if (path === "/circuit") {
      if (isRead) return json(await this.#served());
      return method === "PUT" ? this.#write(request) : notAllowed("GET, HEAD, PUT");
    }
    if (path === "/notebook") {
      if (isRead) return json(await this.#readNotebook());
      return method === "POST" ? this.#note(request) : notAllowed("GET, HEAD, POST");
    }
    const file = this.#pages.files.get(path);
    if (path !== "/" && path !== "/changes" && !file) return said(404, "There is nothing here.");
    if (!isRead) return notAllowed("GET, HEAD");
    if (path === "/changes") return method === "GET" ? "events" : said(200, "");
    if (file) return { status: 200, type: file.type, body: file.content };
    return { status: 200, type: "text/html; charset=utf-8", body: this.#pages.index(nonce, this.#identity) };
  }

  async #served(): Promise<unknown> {
    const { path } = this.#circuit;
    const content = await this.#circuit.read();
    const ownParts = this.#parts && (await this.#readParts(this.#parts));
    return { name: basename(path), ...content, ...(ownParts && { ownParts }) };
  }

  /** Own parts under the name by which the circuit file would name them. */
  async #readParts(
    parts: FollowedFile,
  ): Promise<{ file: string; text: string } | { file: string; unreadable: string }> {
    const file = relative(dirname(this.#circuit.path), parts.path).split(sep).join("/");
    try {
      return { file, text: (await parts.read()).text };
    } catch (error) {
      if (!(error instanceof BadInput)) throw error;
      return { file, unreadable: error.message.replace(`${parts.path}: `, "") };
    }
  }

  async #write(request: IncomingMessage): Promise<Reply> {
    if (!/^application\/json\b/.test(request.headers["content-type"] ?? "")) {
      return said(415, "A text to write comes as application/json.");
    }
    const body = await bodyOf(request);
    if (body === undefined) return said(413, `A circuit file has ${largestFile / 1024 / 1024} MiB at most.`);
    const asked = parse(body);
    if (!asked) return said(400, "A text to write comes as {text, base}.");
    if (Buffer.byteLength(asked.text) > largestFile) {
      return said(413, `A circuit file has ${largestFile / 1024 / 1024} MiB at most.`);
    }
    try {
      const version = await this.#circuit.write(asked.text, asked.base);
      return version === undefined ? said(409, "The file has been changed elsewhere.") : json({ version });
    } catch (error) {
      if (error instanceof BadInput) return said(500, error.message);
      throw error;
    }
  }

  /** The one file beside the circuit file that is its notebook. */
  async #readNotebook(): Promise<unknown> {
    const { path, text } = await readNotebookBeside(this.#circuit.path);
    return { name: basename(path), text };
  }

  /** Entries come one after the other, and are only ever put at the end. */
  async #note(request: IncomingMessage): Promise<Reply> {
    if (!/^application\/json\b/.test(request.headers["content-type"] ?? "")) {
      return said(415, "Lines to note come as application/json.");
    }
    const body = await bodyOf(request);
    if (body === undefined) return said(413, "That is too long for a notebook.");
    const entries = parseLines(body)?.map(readEntry);
    if (!entries || entries.length === 0) return said(400, "Lines to note come as {lines}.");
    const good = entries.flatMap((entry) => ("message" in entry ? [] : [entry]));
    const [wrong] = entries.flatMap((entry) => ("message" in entry ? [entry] : []));
    if (wrong) return said(400, `Column ${wrong.column}: ${wrong.message}`);
    const done = this.#lastNote.then(() => addToNotebook(this.#circuit.path, good));
    this.#lastNote = done.catch(() => undefined);
    try {
      const { path, text } = await done;
      return json({ name: basename(path), text });
    } catch (error) {
      if (error instanceof BadInput) return said(500, error.message);
      throw error;
    }
  }

  /** Whoever asks is told at once that there may be something new: it may have missed a change while it was away. */
  #startEvents(response: ServerResponse): void {
    response.writeHead(200, { "Content-Type": "text/event-stream; charset=utf-8" });
    response.write(`retry: ${retryTime}\n${changeEvent}`);
    const [oldest] = this.#followers;
    if (oldest && this.#followers.size >= mostFollowers) {
      this.#followers.delete(oldest);
      oldest.end();
    }
    this.#followers.add(response);
    response.on("close", () => this.#followers.delete(response));
  }
}

const changeEvent = "event: change\ndata:\n\n";

function said(status: number, body: string): Reply {
  return { status, body };
}

function json(value: unknown): Reply {
  return { status: 200, type: "application/json; charset=utf-8", body: JSON.stringify(value) };
}

function notAllowed(allow: string): Reply {
  return { status: 405, body: `This can be asked with ${allow} only.`, allow };
}

/** The whole body as text; undefined where it is longer than any circuit file in JSON. */
async function bodyOf(request: IncomingMessage): Promise<string | undefined> {
  const pieces: Buffer[] = [];
  let length = 0;
  for await (const piece of request as AsyncIterable<Buffer>) {
    length += piece.length;
    if (length > 6 * largestFile) return undefined;
    pieces.push(piece);
  }
  return Buffer.concat(pieces).toString("utf8");
}

/** Lines of a notebook; undefined where it is something else. */
function parseLines(body: string): readonly string[] | undefined {
  try {
    const { lines } = JSON.parse(body) as { readonly lines?: unknown };
    return Array.isArray(lines) && lines.every((line) => typeof line === "string" && !/[\r\n]/.test(line))
      ? (lines as readonly string[])
      : undefined;
  } catch {
    return undefined;
  }
}

function parse(body: string): { readonly text: string; readonly base: string } | undefined {
  try {
    const { text, base } = JSON.parse(body) as { readonly text?: unknown; readonly base?: unknown };
    return typeof text === "string" && typeof base === "string" ? { text, base } : undefined;
  } catch {
    return undefined;
  }
}
