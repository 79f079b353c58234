import { nsPerMetre } from "../circuit/index.js";
import { textTable } from "../paper/index.js";
import type { Limit, Tried, WhatIf } from "../planning/index.js";
import type { Fs } from "../quantity/index.js";
import { limitsInShort, nsText } from "../timing/index.js";
import { paragraphs, wrapped } from "./prove-layout.js";

/** What a board bears: how fast, how long wires, which chip buys most, and a table of everything else that was tried. */
export function whatIfText(found: WhatIf): string {
  const { now, clock, wires, swaps, tried, proofs, isComplete } = found;
  const failing = now.failing.length + now.electrical.length;
  const begin =
    now.state === "holds"
      ? `Everything holds${now.tightest ? `, with at least ${nsText(now.tightest.margin)} ns: ${now.tightest.name}` : ""}.`
      : `As it is, ${failing === 1 ? "one check does" : `${failing} checks do`} not hold${now.tightest ? `; least margin ${nsText(now.tightest.margin)} ns: ${now.tightest.name}` : ""}.`;
  const short = isComplete ? "" : " The time ran out before all of it: --seconds gives it more.";
  return paragraphs([
    wrapped(begin),
    clock ? wrapped(clockText(clock)) : "",
    swaps.length > 0 || clock ? wrapped(swapText(found)) : "",
    wrapped(wireText(wires)),
    triedTable(tried),
    wrapped(
      `${proofs} proofs by bounds; 'prove' may decide single margins closer.${short} Margins in nanoseconds. Ambient and supply ` +
        "as data sheets have figures for them: nothing is interpolated.",
    ),
    wrapped(limitsInShort),
  ]);
}

function clockText({ now, stock, ...limit }: NonNullable<WhatIf["clock"]>): string {
  if (limit.value === undefined)
    return `No oscillator was found with which everything holds, below ${megahertz(now)} neither.`;
  const share = (100 * (limit.value - now)) / now;
  const can = stock === undefined ? "" : ` The fastest common can up to it is ${stock} MHz.`;
  return (
    `The highest oscillator frequency at which everything holds is ${megahertz(limit.value)} (now ${megahertz(now)}, ` +
    `${share < 0 ? "" : "+"}${share.toFixed(1)} %)${stopText(limit)}.${can} The raster moves with it.`
  );
}

function stopText({ binding, isExact, fails }: Limit): string {
  if (binding) return `; beyond it ${binding.name} falls short`;
  if (isExact) return "; no faster can is made";
  return fails === undefined ? "" : "; beyond it something fails that no time decides";
}

function swapText({ clock, swaps }: WhatIf): string {
  const [best] = swaps.filter(({ clock: { value } }) => (value ?? 0) > (clock?.value ?? 0));
  if (!best) return "No other part for one chip lets it go faster.";
  const { swap, clock: limit } = best;
  const others = swaps
    .filter((one) => one !== best && one.clock.value !== undefined)
    .map(({ swap: { chip, to }, clock: { value = 0 } }) => `${chip} as ${to} ${megahertz(value)}`);
  const differences = swap.differences.length === 0 ? "" : ` (${swap.differences.join("; ")})`;
  return (
    `The one chip that buys most is ${swap.chip}: ${swap.to} in place of ${swap.from}${differences} lets it go up to ` +
    `${megahertz(limit.value ?? 0)}${limit.binding ? `, where ${limit.binding.name} is next` : ""}.` +
    (others.length === 0 ? "" : ` Next: ${others.join(", ")}.`)
  );
}

function wireText({ now, ...limit }: WhatIf["wires"]): string {
  if (limit.value === undefined) return "No length of wire was found with which everything holds.";
  const metres = (limit.value / 1e6 / nsPerMetre).toFixed(2);
  return (
    `Wires may delay up to ${nsText(Math.floor(limit.value) as Fs)} ns, some ${metres} m of them (now ${nsText(now)} ns)` +
    `${stopText(limit)}. What longer wires add to the load is not in it.`
  );
}

function triedTable(tried: readonly Tried[]): string {
  const rows = tried.map(({ variation: { what, value }, state, failing, tightest, moved }) => [
    what,
    value,
    failing > 0 ? `${state}: ${failing}` : state,
    tightest ? nsText(tightest.margin) : "",
    tightest?.name ?? "",
    moved ? `${moved.name}, ${nsText(moved.before)} to ${nsText(moved.after)}` : state === "not tried" ? "" : "nothing",
  ]);
  return textTable(
    [
      { head: "what" },
      { head: "other" },
      { head: "state" },
      { head: "margin", align: "right" },
      { head: "at", most: 24 },
      { head: "tightest that it moves", most: 34 },
    ],
    rows,
  );
}

/** Rounded down, so that what is printed holds. */
function megahertz(hertz: number): string {
  return `${(Math.floor(hertz / 1000) / 1000).toFixed(3)} MHz`;
}
