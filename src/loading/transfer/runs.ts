import type { SentByte } from "./sender.js";

/** Stretches of consecutive addresses, in the order in which bytes are sent. */
export function runsOf(bytes: readonly SentByte[]): readonly { readonly address: number; readonly count: number }[] {
  const runs: { address: number; count: number }[] = [];
  for (const { address } of bytes) {
    const last = runs.at(-1);
    if (last && last.address + last.count === address) last.count++;
    else runs.push({ address, count: 1 });
  }
  return runs;
}
