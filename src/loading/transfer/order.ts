import { type SentByte, latchKey } from "./sender.js";
import type { WritePath } from "./write-path.js";

/**
 * The order in which bytes are sent soonest: those for which a latch holds the same levels one after the other, since it is then
 * loaded once for them all; else by address. Without latches every order takes the same time.
 */
export function bestOrder(path: WritePath, bytes: readonly SentByte[]): readonly SentByte[] {
  const keyed = bytes.map((one) => ({ one, key: latchKey(path, one) }));
  keyed.sort((a, b) => (a.key < b.key ? -1 : a.key > b.key ? 1 : a.one.address - b.one.address));
  return keyed.map(({ one }) => one);
}
