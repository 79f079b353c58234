/** What was ticked, found and measured on a board. */
export interface Found {
  readonly ticks: readonly string[];
  /** What was found at checks, by their keys. */
  readonly found: Readonly<Record<string, string>>;
  /** `U5.14=12.5 kHz`. */
  readonly measured: readonly string[];
}

const prefix = "dotwright.bench.";

/** Remembered in the browser under the circuit's title, as the ticks of its wires are. */
export const remembered = {
  read(title: string): Found {
    try {
      const kept: unknown = JSON.parse(localStorage.getItem(prefix + title) ?? "{}");
      const { ticks, found, measured } = kept as Partial<Record<keyof Found, unknown>>;
      return { ticks: textsOf(ticks), found: recordOf(found), measured: textsOf(measured) };
    } catch {
      return { ticks: [], found: {}, measured: [] };
    }
  },
  /** False where the browser keeps nothing more. */
  write(title: string, found: Found): boolean {
    try {
      localStorage.setItem(prefix + title, JSON.stringify(found));
      return true;
    } catch {
      return false;
    }
  },
};

function textsOf(value: unknown): readonly string[] {
  return Array.isArray(value) ? value.filter((one) => typeof one === "string") : [];
}

function recordOf(value: unknown): Readonly<Record<string, string>> {
  if (typeof value !== "object" || value === null) return {};
  return Object.fromEntries(
    Object.entries(value).flatMap(([key, text]: [string, unknown]) => (typeof text === "string" ? [[key, text]] : [])),
  );
}
