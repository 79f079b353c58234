/** Names that belong together, by joining them two at a time. */
export class Groups {
  readonly #parents = new Map<string, string>();

  /** The name that stands for all that are joined with this one. */
  of(name: string): string {
    let at = name;
    for (let parent = this.#parents.get(at); parent !== undefined; parent = this.#parents.get(at)) at = parent;
    return at;
  }

  join(one: string, other: string): void {
    const [a, b] = [this.of(one), this.of(other)];
    if (a !== b) this.#parents.set(b, a);
  }
}
