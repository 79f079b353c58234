/** The mean of what something took each time. */
export class Mean {
  count = 0;
  #sum = 0;

  add(time: number): void {
    this.count++;
    this.#sum += time;
  }

  get mean(): number {
    return this.count === 0 ? 0 : this.#sum / this.count;
  }
}
