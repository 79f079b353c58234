import type { OwnPartsText } from "../circuit/index.js";

/** A circuit file that the desk's own server watches. */
export interface ServedFile {
  readonly name: string;
  readonly text: string;
  /** Changes with every change of the file. */
  readonly version: string;
  readonly ownParts?: OwnPartsText;
}

export function isServed(): boolean {
  return document.documentElement.dataset["served"] === "true";
}

/** What tells the served file from every other; undefined where no file is served. */
export function servedIdentity(): string | undefined {
  return document.documentElement.dataset["file"];
}

export async function fetchServed(): Promise<ServedFile> {
  const response = await ask({ cache: "no-store" });
  if (!response.ok) throw new Error(`The file cannot be read any more: ${await response.text()}`);
  return (await response.json()) as ServedFile;
}

/**
 * Called whenever the file has changed on disk, and whenever the server begins to be heard: what changed before that is not
 * told again.
 */
export function followServed(onChange: () => void): void {
  const changes = new EventSource("changes");
  changes.addEventListener("open", onChange);
  changes.addEventListener("change", onChange);
}

/** The file's new version, or undefined where somebody else has changed it since `base`. */
export async function saveServed(text: string, base: string): Promise<string | undefined> {
  const response = await ask({
    method: "PUT",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ text, base }),
  });
  if (response.status === 409) return undefined;
  if (!response.ok) throw new Error(`The file could not be written: ${await response.text()}`);
  return ((await response.json()) as { version: string }).version;
}

async function ask(how: RequestInit): Promise<Response> {
  try {
    return await fetch("circuit", how);
  } catch {
    throw new Error(
      "The desk's server does not answer: start it again with 'npx dotwright desk'. What you write is kept in this browser.",
    );
  }
}
