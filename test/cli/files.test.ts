import { execFileSync } from "node:child_process";
import { chmod, lstat, mkdtemp, readFile, readdir, rm, stat, symlink, truncate, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { BadInput } from "../../src/cli/bad-input.js";
import { largestFile, readBytes, readText, writeInPieces, writeWhole } from "../../src/cli/files.js";

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "dotwright-files-"));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

/** The one line with which something is refused, after the file's name. */
async function refusal(path: string, work: Promise<unknown>): Promise<string> {
  const error: unknown = await work.then(
    () => "was accepted",
    (reason: unknown) => reason,
  );
  expect(error).toBeInstanceOf(BadInput);
  const [problem, ...others] = (error as BadInput).problems;
  expect(others).toEqual([]);
  expect(problem?.text.startsWith(`${path}: `)).toBe(true);
  return problem?.text.slice(path.length + 2) ?? "";
}

async function file(name: string, content: string | Uint8Array): Promise<string> {
  const path = join(folder, name);
  await writeFile(path, content);
  return path;
}

describe("reading a file", () => {
  test("gives the text, without a byte order mark", async () => {
    expect(await readText(await file("a.yaml", "\ufefftitle: Gezeiten °C\n"))).toBe("title: Gezeiten °C\n");
  });

  test("refuses a file that is not there", async () => {
    const path = join(folder, "none.yaml");
    expect(await refusal(path, readText(path))).toBe("cannot be read: there is no such file");
  });

  test("refuses a folder", async () => {
    expect(await refusal(folder, readText(folder))).toBe("is a folder; a file was expected");
  });

  test("refuses a path through something that is no folder", async () => {
    const path = join(await file("a", ""), "b.yaml");
    expect(await refusal(path, readText(path))).toBe("cannot be read: a part of the path is no folder");
  });

  test.skipIf(process.platform === "win32")("refuses a pipe at once and does not wait for a writer", async () => {
    const path = join(folder, "pipe");
    execFileSync("mkfifo", [path]);
    expect(await refusal(path, readText(path))).toBe("is a pipe or a device; a regular file was expected");
  });

  test("reads 4 MiB and refuses one byte more, without reading it", async () => {
    const path = await file("large.bin", "");
    await truncate(path, largestFile);
    expect((await readBytes(path)).length).toBe(largestFile);
    await truncate(path, largestFile + 1);
    expect(await refusal(path, readBytes(path))).toBe("is 4.0 MiB; files above 4 MiB are not read");
    await truncate(path, 2 ** 40);
    expect(await refusal(path, readBytes(path))).toBe("is 1048576.0 MiB; files above 4 MiB are not read");
  });

  test("refuses binary files and other encodings as text, but reads them as bytes", async () => {
    const picture = await file("p.png", Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0, 1));
    expect(await refusal(picture, readText(picture))).toMatch(/^is a binary file \(a zero at byte 4\)/);
    expect([...(await readBytes(picture))]).toEqual([0x89, 0x50, 0x4e, 0x47, 0, 1]);
    const wide = await file("w.yaml", Uint8Array.of(0xff, 0xfe, 0x61, 0));
    expect(await refusal(wide, readText(wide))).toBe("is text in UTF-16; save it as UTF-8");
    const latin = await file("l.yaml", Uint8Array.of(0x32, 0x35, 0xb0, 0x43));
    expect(await refusal(latin, readText(latin))).toBe("is no text in UTF-8; save it as UTF-8");
  });

  test("refuses a name with a zero byte", async () => {
    await expect(readText("a\0b")).rejects.toBeInstanceOf(BadInput);
  });
});

describe("writing a file", () => {
  test("is undone by reading it", async () => {
    const path = join(folder, "f.bin");
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 300 }), async (bytes) => {
        await writeWhole(path, bytes);
        expect(Uint8Array.from(await readBytes(path))).toEqual(bytes);
      }),
      { numRuns: 40 },
    );
    expect(await readdir(folder)).toEqual(["f.bin"]);
  });

  test("makes the folders on the way", async () => {
    const path = join(folder, "out/reports/tide.html");
    await writeWhole(path, "<p>");
    expect(await readFile(path, "utf8")).toBe("<p>");
  });

  test("keeps a symbolic link and the permissions of what it replaces", async () => {
    const target = await file("real.html", "old");
    await chmod(target, 0o640);
    const link = join(folder, "link.html");
    await symlink(target, link);
    await writeWhole(link, "new");
    expect(await readFile(target, "utf8")).toBe("new");
    expect((await lstat(link)).isSymbolicLink()).toBe(true);
    expect((await stat(target)).mode & 0o777).toBe(0o640);
  });

  test("refuses a folder and a path through a file", async () => {
    expect(await refusal(folder, writeWhole(folder, "x"))).toBe("is a folder; give the name of a file");
    const path = join(await file("a", ""), "b.html");
    expect(await refusal(path, writeWhole(path, "x"))).toBe("cannot be written: a part of the path is no folder");
  });

  test("takes a name as long as the file system allows and refuses a longer one", async () => {
    const longest = join(folder, `${"n".repeat(250)}.html`);
    await writeWhole(longest, "x");
    expect(await readFile(longest, "utf8")).toBe("x");
    const longer = join(folder, `${"n".repeat(251)}.html`);
    expect(await refusal(longer, writeWhole(longer, "x"))).toBe("cannot be written: the name is too long");
  });

  test.skipIf(process.platform === "win32")("writes to a device directly", async () => {
    await writeWhole("/dev/null", "x");
    expect((await stat("/dev/null")).isFile()).toBe(false);
  });
});

describe("writing a file in pieces", () => {
  test("puts them one after the other and returns what the work returns", async () => {
    const path = join(folder, "out/long.vcd");
    const result = await writeInPieces(path, (write) => {
      for (let piece = 0; piece < 1000; piece++) write(`#${piece}\n`);
      return "done";
    });
    expect(result).toBe("done");
    expect((await readFile(path, "utf8")).split("\n")).toHaveLength(1001);
  });

  test("leaves the old file and nothing else where the work fails half-way", async () => {
    const path = await file("old.vcd", "old");
    const work = writeInPieces(path, (write) => {
      write("new");
      throw new RangeError("half-way");
    });
    await expect(work).rejects.toThrow("half-way");
    expect(await readFile(path, "utf8")).toBe("old");
    expect(await readdir(folder)).toEqual(["old.vcd"]);
  });
});
