import { formatTime, fs } from "../quantity/index.js";
import type { Verdict } from "../timing/index.js";
import type { Bracket } from "./cycle-drawing.js";

/** Times in fs on whatever time line the two changes are on. */
type LooseBracket = Omit<Bracket, "from" | "to"> & { readonly from: number; readonly to: number };

/** Rules whose requirement begins with the earlier of the two changes; of all others it ends with the later one. */
const FROM_THE_EARLIER = /^(?:hold|pulse width|clock period|recovery|memory cycle)$/;
const AFTER_A_WRITE = /^t(?:WR|DH)$/;

/** What is there between two changes, what a verdict requires of it, and what is left over, as dimensions of a lane. */
export function verdictBrackets(
  { rule, symbol, required, state }: Pick<Verdict, "rule" | "symbol" | "required" | "state">,
  lane: string,
  earlier: number,
  later: number,
): readonly LooseBracket[] {
  const available: LooseBracket = {
    lane,
    kind: "available",
    from: earlier,
    to: later,
    label: `available ${signed(later - earlier).replace("+", "")}`,
  };
  if (required === undefined) return [available];
  const isFrom = FROM_THE_EARLIER.test(rule) || AFTER_A_WRITE.test(symbol);
  const name = symbol === "" ? rule : symbol;
  const asked = isFrom ? { from: earlier, to: earlier + required } : { from: later - required, to: later };
  const left = isFrom ? { from: earlier + required, to: later } : { from: earlier, to: later - required };
  const margin = later - earlier - required;
  return [
    available,
    ...(required > 0 ? [{ lane, kind: "required" as const, ...asked, label: `${name} ${formatTime(required)}` }] : []),
    { lane, kind: "margin", ...left, label: signed(margin), state },
  ];
}

/** `+12.4 ns`, `−3.1 ns`, with a true minus. */
function signed(time: number): string {
  return `${time < 0 ? "−" : "+"}${formatTime(fs(Math.abs(time)))}`;
}
