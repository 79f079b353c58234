const prefix = "dotwright.ticks.";

/** Which wires of a circuit are in, remembered under its title; a wire is known by its net and its two ends. */
export class Ticks {
  readonly #key: string;
  readonly #done: Set<string>;

  constructor(title: string) {
    this.#key = prefix + title;
    this.#done = new Set(readList(this.#key));
  }

  has(wire: string): boolean {
    return this.#done.has(wire);
  }

  set(wire: string, isDone: boolean): void {
    // Another page may have ticked others meanwhile.
    for (const other of readList(this.#key)) if (other !== wire) this.#done.add(other);
    if (isDone) this.#done.add(wire);
    else this.#done.delete(wire);
    localStorage.setItem(this.#key, JSON.stringify([...this.#done]));
  }
}

function readList(key: string): readonly string[] {
  try {
    const list: unknown = JSON.parse(localStorage.getItem(key) ?? "[]");
    return Array.isArray(list) ? list.filter((item) => typeof item === "string") : [];
  } catch {
    return [];
  }
}
