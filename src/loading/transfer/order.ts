import { type SentByte, latchKey } from "./sender.js";
import type { WritePath } from "./write-path.js";

/**
 * The order in which bytes are sent soonest: those for which a latch holds the same levels one after the other, since it is then
 * loaded once for them all; and within that so that from one address to the next few lines change (Gray's order of the
 * addresses), which spares a processor that sets its pins one by one. Without latches every order takes the same time.
 */
export function bestOrder(path: WritePath, bytes: readonly SentByte[]): readonly SentByte[] {
  const keyed = bytes.map((one) => ({ one, key: latchKey(path, one), rank: grayRank(one.address) }));
  keyed.sort((a, b) => (a.key < b.key ? -1 : a.key > b.key ? 1 : a.rank - b.rank));
  return keyed.map(({ one }) => one);
}

/** The place of a number in Gray's code: the number whose code it is. */
export function grayRank(code: number): number {
  let rank = code;
  for (let shift = 1; shift < 32; shift *= 2) rank ^= rank >>> shift;
  return rank >>> 0;
}
