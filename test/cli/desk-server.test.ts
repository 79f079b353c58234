import { chmod, lstat, mkdtemp, readFile, rename, rm, stat, symlink, writeFile } from "node:fs/promises";
import { request } from "node:http";
import { connect } from "node:net";
import { networkInterfaces, tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { type DeskServer, serveDesk } from "../../src/cli/desk-server.js";
import { opener } from "../../src/cli/open-browser.js";

const pages = {
  index: (nonce: string) => `<meta name="nonce" content="${nonce}">`,
  files: new Map([["/desk.js", { type: "text/javascript", content: Buffer.from("void 0;") }]]),
};

let folder = "";
let path = "";
let server: DeskServer;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "dotwright-desk-"));
  path = join(folder, "lamp.circuit.yaml");
});
afterAll(() => rm(folder, { recursive: true, force: true }));
beforeEach(async () => {
  await rm(path, { force: true });
  await writeFile(path, "title: Lamp\n");
  server = await serveDesk({ pages, circuitPath: path, partsPath: join(folder, "drawer.parts.yaml") }, 0);
});
afterEach(() => server.close());

type Answer = { readonly status: number; readonly headers: NodeJS.Dict<string | string[]>; readonly body: string };

/** Asks as any program may, with headers that a browser would not let a page choose. */
function ask(target: string, method = "GET", headers: Record<string, string> = {}, body = ""): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const asking = request(
      { host: "127.0.0.1", port: server.port, path: target, method, headers, agent: false },
      (response) => {
        let text = "";
        response.setEncoding("utf8").on("data", (piece: string) => (text += piece));
        response.on("end", () => resolve({ status: response.statusCode ?? 0, headers: response.headers, body: text }));
      },
    );
    asking.on("error", reject).end(body);
  });
}

function put(text: string, base: string, headers: Record<string, string> = {}): Promise<Answer> {
  return ask("/circuit", "PUT", { "content-type": "application/json", ...headers }, JSON.stringify({ text, base }));
}

async function served(): Promise<{ readonly text: string; readonly version: string; readonly ownParts?: unknown }> {
  return JSON.parse((await ask("/circuit")).body) as { text: string; version: string };
}

/** Counts the changes that are told from now on; `until` waits for so many. */
function listen() {
  let count = 0;
  const asking = request({ host: "127.0.0.1", port: server.port, path: "/changes", agent: false }, (response) => {
    response.setEncoding("utf8").on("data", (piece: string) => (count += piece.split("event: change").length - 1));
    response.on("error", () => undefined);
  });
  asking.on("error", () => undefined).end();
  return {
    until: async (wanted: number) => {
      await expect.poll(() => count, { timeout: 10_000 }).toBeGreaterThanOrEqual(wanted);
      return count;
    },
    stop: () => asking.destroy(),
  };
}

describe("the desk's server guards the file", () => {
  test("it listens on the loopback address only", async () => {
    expect(server.address).toBe(`http://127.0.0.1:${server.port}/`);
    const others = Object.values(networkInterfaces()).flatMap((all) => all ?? []);
    for (const { address, scopeid } of others.filter(({ address }) => address !== "127.0.0.1")) {
      const host = scopeid ? `${address}%${scopeid}` : address;
      const reached = await new Promise<string>((resolve) => {
        const socket = connect({ host, port: server.port, timeout: 2000 }, () => resolve("reached"));
        socket.on("error", () => resolve("refused")).on("timeout", () => resolve("silent"));
      });
      expect([address, reached]).not.toEqual([address, "reached"]);
    }
  });

  test("it answers under its own names only, which keeps out a name that somebody lets point here", async () => {
    for (const host of [`desk.example:${server.port}`, "127.0.0.1", "localhost:1"]) {
      expect((await ask("/circuit", "GET", { host })).status).toBe(403);
    }
    expect((await ask("/circuit", "GET", { host: `localhost:${server.port}` })).status).toBe(200);
  });

  test("it refuses what another page asks, and takes what its own page asks", async () => {
    const { version } = await served();
    expect((await put("stolen\n", version, { origin: "https://elsewhere.example" })).status).toBe(403);
    expect((await put("stolen\n", version, { origin: "null" })).status).toBe(403);
    expect((await put("stolen\n", version, { "sec-fetch-site": "same-site" })).status).toBe(403);
    expect((await ask("/desk.js", "GET", { "sec-fetch-site": "cross-site" })).status).toBe(403);
    const arrival = { "sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate" };
    expect((await ask("/", "GET", arrival)).status).toBe(200);
    expect((await ask("/circuit", "GET", arrival)).status).toBe(403);
    expect(await readFile(path, "utf8")).toBe("title: Lamp\n");
    const own = { origin: `http://127.0.0.1:${server.port}`, "sec-fetch-site": "same-origin" };
    expect((await put("title: Two lamps\n", version, own)).status).toBe(200);
  });

  test("no path leads to another file", async () => {
    await writeFile(join(folder, "secret.txt"), "secret");
    for (const target of ["/secret.txt", "/../secret.txt", "/%2e%2e/secret.txt", "/..%2fsecret.txt", "//etc/passwd"]) {
      expect(await ask(target)).toMatchObject({ status: 404, body: "There is nothing here." });
    }
    const absolute = await ask(`http://127.0.0.1:${server.port}${path}`);
    expect(absolute.status).toBe(404);
  });

  test("every answer forbids scripts, styles and frames from elsewhere, and every page has a nonce of its own", async () => {
    const [page, again, absent] = await Promise.all([ask("/"), ask("/"), ask("/nowhere")]);
    for (const { headers } of [page, absent]) {
      expect(headers["content-security-policy"]).toContain("default-src 'none'; script-src 'self' 'wasm-unsafe-eval'");
      expect(headers["content-security-policy"]).toContain("frame-ancestors 'none'");
      expect(headers).toMatchObject({ "x-content-type-options": "nosniff", "referrer-policy": "no-referrer" });
      expect(headers).toMatchObject({ "cross-origin-resource-policy": "same-origin" });
    }
    const [nonce, other] = [page, again].map(({ body }) => /content="(.+)"/.exec(body)?.[1]);
    expect(page.headers["content-security-policy"]).toContain(`style-src 'self' 'nonce-${nonce}'`);
    expect(other).not.toBe(nonce);
  });

  test("it takes no other methods, kinds, shapes or sizes than a text to write", async () => {
    const { version } = await served();
    expect(await ask("/circuit", "DELETE")).toMatchObject({ status: 405, headers: { allow: "GET, HEAD, PUT" } });
    expect((await ask("/", "POST")).status).toBe(405);
    expect((await ask("/circuit", "PUT", { "content-type": "text/plain" }, "{}")).status).toBe(415);
    expect((await ask("/circuit", "PUT", { "content-type": "application/json" }, '{"text":1}')).status).toBe(400);
    expect((await put("x".repeat(5 * 1024 * 1024), version)).status).toBe(413);
    expect(await ask("/", "HEAD")).toMatchObject({ status: 200, body: "" });
  });
});

describe("the desk's server writes the file", () => {
  test("where it is what it was, whole, keeping its rights and the link that names it", async () => {
    const link = join(folder, "link.circuit.yaml");
    await symlink(path, link);
    await server.close();
    server = await serveDesk({ pages, circuitPath: link }, 0);
    await chmod(path, 0o640);
    const before = await served();
    const { status, body } = await put("title: Two lamps\n", before.version);
    expect(status).toBe(200);
    expect(await readFile(path, "utf8")).toBe("title: Two lamps\n");
    expect((await stat(path)).mode & 0o777).toBe(0o640);
    expect((await lstat(link)).isSymbolicLink()).toBe(true);
    expect(await served()).toMatchObject({ text: "title: Two lamps\n", version: JSON.parse(body).version });
    await rm(link);
  });

  test("never over a change that was made elsewhere", async () => {
    const { version } = await served();
    await writeFile(path, "title: Mine\n");
    expect((await put("title: Yours\n", version)).status).toBe(409);
    expect(await readFile(path, "utf8")).toBe("title: Mine\n");
  });

  test("of two pages that save at once only for the first", async () => {
    const { version } = await served();
    const answers = await Promise.all(["one", "two", "three"].map((title) => put(`title: ${title}\n`, version)));
    expect(answers.map(({ status }) => status).sort((a, b) => a - b)).toEqual([200, 409, 409]);
    const won = answers.findIndex(({ status }) => status === 200);
    expect(await readFile(path, "utf8")).toBe(`title: ${["one", "two", "three"][won]}\n`);
  });

  test("anew where it is gone, since nothing can be lost, but not over what cannot be read", async () => {
    const { version } = await served();
    await rm(path);
    expect((await ask("/circuit")).status).toBe(404);
    expect((await put("title: Again\n", version)).status).toBe(200);
    await writeFile(path, Buffer.from([0xff, 0xfe, 0, 0]));
    expect((await put("title: Over\n", version)).status).toBe(409);
  });

  test("with the line ends and the byte order mark that it has", async () => {
    await writeFile(path, "\uFEFFtitle: Lamp\r\nsupply: 5 V\r\n");
    const { text, version } = await served();
    expect(text).toBe("title: Lamp\nsupply: 5 V\n");
    await put(text.replace("Lamp", "Lamps"), version);
    expect(await readFile(path, "utf8")).toBe("\uFEFFtitle: Lamps\r\nsupply: 5 V\r\n");
  });
});

describe("the desk's server follows the file", () => {
  test("as editors write it: in place, by rename, by deletion and back", async () => {
    const changes = listen();
    // One comes at once, since a page may have missed a change while it was away.
    await changes.until(1);
    await writeFile(path, "title: In place\n");
    await changes.until(2);
    expect((await served()).text).toBe("title: In place\n");
    await writeFile(`${path}.new`, "title: Renamed\n");
    await rename(`${path}.new`, path);
    await changes.until(3);
    expect((await served()).text).toBe("title: Renamed\n");
    await rm(path);
    await changes.until(4);
    await writeFile(path, "title: Back\n");
    expect(await changes.until(5)).toBe(5);
    changes.stop();
  });

  test("and tells nothing of a file that was only touched, or replaced by the same", async () => {
    const changes = listen();
    await changes.until(1);
    await writeFile(path, "title: Lamp\n");
    await rm(path);
    await writeFile(path, "title: Lamp\n");
    await new Promise((resolve) => setTimeout(resolve, 600));
    await writeFile(path, "title: Other\n");
    expect(await changes.until(2)).toBe(2);
    changes.stop();
  });

  test("and tells of a file that somebody found absent that it is back, though it is the same", async () => {
    const changes = listen();
    await changes.until(1);
    const before = await readFile(path, "utf8");
    await rm(path);
    expect((await ask("/circuit")).status).toBe(404);
    await writeFile(path, before);
    expect(await changes.until(2)).toBe(2);
    changes.stop();
  });

  test("and the own parts file beside it, which it hands over under its name", async () => {
    expect((await served()).ownParts).toEqual({
      file: "drawer.parts.yaml",
      unreadable: expect.stringMatching("no such"),
    });
    const changes = listen();
    await changes.until(1);
    await writeFile(join(folder, "drawer.parts.yaml"), "parts: {}\n");
    await changes.until(2);
    expect((await served()).ownParts).toEqual({ file: "drawer.parts.yaml", text: "parts: {}\n" });
    changes.stop();
  });

  test("for however many pages, leaving connections for the rest", async () => {
    const pagesOpen = Array.from({ length: 7 }, listen);
    await Promise.all(pagesOpen.map(({ until }) => until(1)));
    expect((await served()).text).toBe("title: Lamp\n");
    for (const { stop } of pagesOpen) stop();
  });
});

describe("a browser is opened", () => {
  test("where there is a display, and not for a log or for who says no", () => {
    const on = (platform: NodeJS.Platform, environment: Record<string, string>) =>
      opener({ platform, environment })?.[0];
    expect(on("linux", {})).toBeUndefined();
    expect(on("linux", { DISPLAY: ":0" })).toBe("xdg-open");
    expect(on("linux", { WAYLAND_DISPLAY: "wayland-0" })).toBe("xdg-open");
    expect(on("linux", { DISPLAY: ":0", BROWSER: "none" })).toBeUndefined();
    expect(on("darwin", { CI: "true" })).toBeUndefined();
    expect(on("darwin", {})).toBe("open");
  });
});

describe("the notebook beside the circuit file", () => {
  const notebook = () => join(folder, "lamp.notebook.txt");
  const post = (body: string, headers: Record<string, string> = { "content-type": "application/json" }) =>
    ask("/notebook", "POST", headers, body);
  afterEach(() => rm(notebook(), { force: true }));

  test("is empty while there is none, and has what was there and what is added", async () => {
    expect(JSON.parse((await ask("/notebook")).body)).toEqual({ name: "lamp.notebook.txt", text: "" });
    await writeFile(notebook(), "2026-11-28 built U1");
    const added = await Promise.all(
      ["one", "two"].map((words) => post(JSON.stringify({ lines: [`2026-11-28 note ${words}`] }))),
    );
    expect(added.map(({ status }) => status)).toEqual([200, 200]);
    const text = "2026-11-28 built U1\n2026-11-28 note one\n2026-11-28 note two\n";
    expect(JSON.parse((await ask("/notebook")).body)).toEqual({ name: "lamp.notebook.txt", text });
    expect(await readFile(notebook(), "utf8")).toBe(text);
  });

  test("takes whole entries from the desk's own page only", async () => {
    const good = JSON.stringify({ lines: ["2026-11-28 note one"] });
    const refused = [
      await post(good, { "content-type": "text/plain" }),
      await post(good, { "content-type": "application/json", origin: "http://elsewhere.example" }),
      await post(JSON.stringify({ lines: ["2026-11-28 note one\n2026-11-29 note two"] })),
      await post(JSON.stringify({ lines: ["2026-11-28 note one", "tomorrow"] })),
      await post(JSON.stringify({ lines: [] })),
      await post("lines"),
      await ask("/notebook", "PUT", { "content-type": "application/json" }, good),
      await ask("/lamp.notebook.txt"),
    ];
    expect(refused.map(({ status }) => status)).toEqual([415, 403, 400, 400, 400, 400, 405, 404]);
    await expect(stat(notebook())).rejects.toThrow("ENOENT");
  });
});
