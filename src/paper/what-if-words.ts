import { nsPerMetre } from "../circuit/index.js";
import type { Limit, Tried, WhatIf } from "../planning/index.js";
import type { Fs } from "../quantity/index.js";
import { nsText } from "../timing/index.js";

/** What a board bears in sentences: as it is, its clock, which chip buys most, its wires. Nothing is said of what is not known yet. */
export function whatIfSentences(found: WhatIf): readonly string[] {
  const { now, clock, wires, swaps, isComplete } = found;
  const failing = now.failing.length + now.electrical.length;
  const begin =
    now.state === "holds"
      ? `Everything holds${now.tightest ? `, with at least ${nsText(now.tightest.margin)} ns: ${now.tightest.name}` : ""}.`
      : `As it is, ${failing === 1 ? "one check does" : `${failing} checks do`} not hold${now.tightest ? `; least margin ${nsText(now.tightest.margin)} ns: ${now.tightest.name}` : ""}.`;
  if (now.electrical.length > 0 || now.state === "not covered") {
    const what = now.electrical.length > 0 ? `a level (${now.electrical[0]})` : "a missing figure";
    return [begin, `No clock and no length of wire mends ${what}, so none is looked for.`];
  }
  return [
    begin,
    clock ? clockText(clock) : "",
    swaps.length > 0 || (clock && isComplete) ? swapText(found) : "",
    wires.proved.length > 0 ? wireText(wires) : "",
  ].filter((text) => text !== "");
}

/** What the sentences and the table rest on. */
export function whatIfNote({ proofs, tried, isComplete }: WhatIf): string {
  const within = tried.some(({ isWithin }) => isWithin)
    ? " With ≥ no proof was needed: every board of it is one of those that were proved to hold, and what it moves is told by the chains that are known."
    : "";
  const short = isComplete ? "" : " Not all of it was tried.";
  return (
    `${proofs} proofs by bounds; 'prove' may decide single margins closer.${short}${within} Margins in nanoseconds. Ambient and supply ` +
    "as data sheets have figures for them: nothing is interpolated."
  );
}

/** What a variation moves, or why it is none, in words. */
export function movedText({ state, moved, lacking, levels: [level, ...others] }: Tried): string {
  if (lacking) return `${lacking.join(", ")}: no figures there`;
  if (level !== undefined) return `${level} fails${others.length > 0 ? `, and ${others.length} more` : ""}`;
  if (moved) return `${moved.name}, ${nsText(moved.before)} to ${nsText(moved.after)}`;
  return state === "not tried" ? "" : "nothing";
}

/** The least margin of a variation. */
export function triedMargin({ tightest, isWithin }: Tried): string {
  return tightest ? `${isWithin ? "≥ " : ""}${nsText(tightest.margin)}` : "";
}

function clockText({ now, stock, ...limit }: NonNullable<WhatIf["clock"]>): string {
  if (limit.value === undefined)
    return `No oscillator was found with which everything holds, down to an eighth of ${megahertz(now)} neither.`;
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

/** Rounded down, so that what is printed holds. */
function megahertz(hertz: number): string {
  return `${(Math.floor(hertz / 1000) / 1000).toFixed(3)} MHz`;
}
