/** A text under way, as this browser keeps it. */
export interface Draft {
  readonly name: string;
  readonly text: string;
}

interface KeptDraft extends Draft {
  /** Milliseconds since 1970. */
  readonly changed: number;
  /** What tells the served file that this is a draft of from every other; absent without a server. */
  readonly of?: string;
}

const prefix = "dotwright.draft.";
/** Drafts of pages that are closed and that nobody came back to. */
const mostDrafts = 20;

/**
 * Where one open page keeps its text. Every page has a place of its own, held by a lock for as long as it is open, so that two
 * pages can never write over each other; a page that opens later takes up the text of one that was closed.
 */
export class DraftPlace {
  readonly #key: string;
  readonly #of: string | undefined;

  private constructor(key: string, of: string | undefined) {
    this.#key = key;
    this.#of = of;
  }

  /** Takes the place of the last page that was closed with a text of the same served file, or of none, under way. */
  static async take(of: string | undefined): Promise<DraftPlace> {
    const closed = keptDrafts()
      .filter(({ draft }) => draft.of === of)
      .sort((a, b) => b.draft.changed - a.draft.changed);
    for (const { key } of closed) {
      if (await hold(key)) return new DraftPlace(key, of);
    }
    return DraftPlace.fresh(of);
  }

  /** Takes a place that nobody has had. */
  static async fresh(of: string | undefined): Promise<DraftPlace> {
    const key = prefix + randomName();
    await hold(key);
    return new DraftPlace(key, of);
  }

  read(): Draft | undefined {
    return parse(localStorage.getItem(this.#key));
  }

  /** False where the browser keeps nothing more. */
  write(draft: Draft, now: number): boolean {
    try {
      localStorage.setItem(
        this.#key,
        JSON.stringify({ ...draft, changed: now, ...(this.#of !== undefined && { of: this.#of }) } satisfies KeptDraft),
      );
      return true;
    } catch {
      return false;
    }
  }

  clear(): void {
    localStorage.removeItem(this.#key);
  }
}

/** Forgets the oldest drafts of closed pages beyond the last twenty. */
export async function forgetOldDrafts(): Promise<void> {
  const sorted = keptDrafts().sort((a, b) => b.draft.changed - a.draft.changed);
  const held = new Set((await navigator.locks?.query())?.held?.map(({ name }) => name));
  for (const { key } of sorted.slice(mostDrafts)) if (!held.has(key)) localStorage.removeItem(key);
}

function keptDrafts(): { readonly key: string; readonly draft: KeptDraft }[] {
  return Object.keys(localStorage).flatMap((key) => {
    const draft = key.startsWith(prefix) ? parse(localStorage.getItem(key)) : undefined;
    return draft ? [{ key, draft }] : [];
  });
}

function parse(kept: string | null): KeptDraft | undefined {
  try {
    const draft = JSON.parse(kept ?? "null") as Partial<KeptDraft> | null;
    if (typeof draft?.name !== "string" || typeof draft.text !== "string") return undefined;
    const { name, text, changed, of } = draft;
    return { name, text, changed: Number(changed) || 0, ...(typeof of === "string" && { of }) };
  } catch {
    return undefined;
  }
}

/** `crypto.randomUUID` is not there on a page that comes over plain http from elsewhere. */
function randomName(): string {
  return Array.from(crypto.getRandomValues(new Uint32Array(4)), (word) => word.toString(36)).join("-");
}

/** Holds a lock until the page is closed; false where another page has it. */
async function hold(key: string): Promise<boolean> {
  if (!navigator.locks) return false;
  return new Promise((resolve) => {
    void navigator.locks.request(key, { ifAvailable: true }, async (lock) => {
      resolve(lock !== null);
      if (lock) await new Promise(() => undefined);
    });
  });
}
