import { createHash } from "node:crypto";
import { existsSync, unwatchFile, watchFile } from "node:fs";
import { BadInput } from "./bad-input.js";
import { readBytes, textOf, writeWholeIf } from "./files.js";

/** What a file holds. Lines end in a line feed, whatever they end in on disk. */
export type FileContent = {
  readonly text: string;
  /** Another one for every other content. */
  readonly version: string;
};

/** Milliseconds between looks at the file, which sees every way in which editors write: in place, by rename, by deletion. */
const lookInterval = 200;
/** Milliseconds that a writer is given to write the rest, and for which a file may be absent while it is being replaced. */
const settleTime = 60;
const absentTime = 500;
/** The version of a file that is there but cannot be read. */
const unreadable = "unreadable";

/** A text file that others may change at any time. */
export class FollowedFile {
  readonly path: string;
  readonly #listeners = new Set<() => void>();
  /** The version that the listeners know of; undefined where there is no file. */
  #told: string | undefined;
  /** Somebody saw the file absent before it was told: if it is back by then, that has to be told although nothing changed. */
  #wasMissed = false;
  #pending: ReturnType<typeof setTimeout> | undefined;
  /** Writings follow each other, so that of two with the same base the second is refused. */
  #lastWrite: Promise<unknown> = Promise.resolve();
  #habits: Habits = { mark: false, returns: false };

  constructor(path: string) {
    this.path = path;
  }

  /**
   * @throws BadInput where it is not there or cannot be read as text
   */
  async read(): Promise<FileContent> {
    const bytes = await this.#bytesOrMissed();
    const text = textOf(this.path, bytes);
    this.#habits = {
      mark: bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf,
      returns: text.includes("\r\n") && !/(^|[^\r])\n/.test(text),
    };
    return { text: text.replace(/\r\n?/g, "\n"), version: versionOf(bytes) };
  }

  /**
   * Writes the whole text, unless the file is no longer what it was as `base`. A file that is gone holds nothing that could
   * be lost: it is written anew. Returns the new version, or undefined where the file was left as it is.
   *
   * @throws BadInput where it cannot be written
   */
  async write(text: string, base: string): Promise<string | undefined> {
    const done = this.#lastWrite.then(() => this.#writeNow(text, base));
    this.#lastWrite = done.catch(() => undefined);
    return done;
  }

  /** Calls the listener whenever the file holds something else, is gone, or is there again; returns how to stop that. */
  follow(listener: () => void): () => void {
    if (this.#listeners.size === 0) {
      void this.#version().then((version) => (this.#told ??= version));
      watchFile(this.path, { interval: lookInterval }, this.#changed);
    }
    this.#listeners.add(listener);
    return () => {
      this.#listeners.delete(listener);
      if (this.#listeners.size > 0) return;
      unwatchFile(this.path, this.#changed);
      clearTimeout(this.#pending);
    };
  }

  async #writeNow(text: string, base: string): Promise<string | undefined> {
    const before = await this.#version();
    if (before !== undefined && before !== base) return undefined;
    const { mark, returns } = this.#habits;
    const bytes = Buffer.from((mark ? "\uFEFF" : "") + (returns ? text.replace(/\n/g, "\r\n") : text));
    if (!(await writeWholeIf(this.path, bytes, async () => (await this.#version()) === before))) return undefined;
    this.#changed();
    return versionOf(bytes);
  }

  async #bytesOrMissed(): Promise<Uint8Array> {
    try {
      return await readBytes(this.path);
    } catch (error) {
      if (this.#told !== undefined) {
        this.#wasMissed = true;
        if (this.#listeners.size > 0) this.#changed();
      }
      throw error;
    }
  }

  /** The version of what is on disk, whatever it is; undefined where there is no file. */
  async #version(): Promise<string | undefined> {
    try {
      return versionOf(await readBytes(this.path));
    } catch (error) {
      if (!(error instanceof BadInput)) throw error;
      return existsSync(this.path) ? unreadable : undefined;
    }
  }

  readonly #changed = (): void => {
    clearTimeout(this.#pending);
    this.#pending = setTimeout(() => void this.#settled(), settleTime);
  };

  async #settled(isSure = false): Promise<void> {
    const version = await this.#version().catch(() => undefined);
    if ((version === undefined || version === unreadable) && !isSure) {
      clearTimeout(this.#pending);
      this.#pending = setTimeout(() => void this.#settled(true), absentTime);
      return;
    }
    if ((version === this.#told && !this.#wasMissed) || this.#listeners.size === 0) return;
    this.#told = version;
    this.#wasMissed = false;
    for (const listener of this.#listeners) listener();
  }
}

/** What a file has besides its text, and keeps. */
type Habits = {
  /** A byte order mark. */
  readonly mark: boolean;
  /** Lines that end in carriage return and line feed. */
  readonly returns: boolean;
};

function versionOf(bytes: Uint8Array): string {
  return createHash("sha256").update(bytes).digest("hex").slice(0, 32);
}
