import type { Chip, Circuit, Net } from "../circuit/index.js";
import { requirementsOf } from "../parts/index.js";
import { rangeText } from "../verdict/index.js";
import { type EdgeRate, edgeRateOf, wireLine, wireSources } from "./edge-rates.js";
import type { Advice, ElectricalOptions } from "./judge.js";

/** Nets that are named; the rest are counted. */
const MOST_NETS = 6;

/**
 * Which chips' edges are so fast that wires of the build style ring, up to what length they do not, and what helps. The
 * longest wire's delay is the circuit's; its length follows in proportion.
 */
export function wireAdvice(circuit: Circuit, { edgesPerSecond }: ElectricalOptions = {}): readonly Advice[] {
  const { wireDelay, build, chips } = circuit;
  const oneWay = wireDelay.max / 1e6;
  const fast = new Map<EdgeRate["ns"], Chip[]>();
  for (const chip of chips) {
    const rate = edgeRateOf(chip.part);
    if (!rate || rate.ns >= 2 * oneWay || drivenNets(circuit, chip).length === 0) continue;
    fast.set(rate.ns, [...(fast.get(rate.ns) ?? []), chip]);
  }
  if (fast.size === 0) return [];
  const ordered = [...fast].sort(([a], [b]) => a - b);
  const groups = ordered.map(([ns, group]) => {
    const families = [...new Set(group.map(({ part }) => familyWord(part.family)))].join(", ");
    return `${families} (${rangeText(group.map(({ ref }) => ref))}, edges of about ${ns} ns): ${lengthIn(ns)} cm`;
  });
  const edges = ({ id }: Net) => edgesPerSecond?.get(id) ?? 0;
  const clocks = [...new Set(ordered.flatMap(([, group]) => group.flatMap((chip) => clocksFrom(circuit, chip))))]
    .sort((a, b) => edges(b) - edges(a))
    .map(({ name }) => name);
  const named =
    clocks.slice(0, MOST_NETS).join(", ") + (clocks.length > MOST_NETS ? ` and ${clocks.length - MOST_NETS} more` : "");
  return [
    {
      subject: "wires",
      text:
        `A wire rings where ${wireLine.rule.replace("a wire is long where ", "")}. On ${build} (up to ${oneWay.toFixed(1)} ns ` +
        `each way) keep wires shorter than this: ${groups.join("; ")}. Where one must be longer, put about ` +
        `${wireLine.seriesOhms} ohm in series at the output.${clocks.length > 0 ? ` Clocks and strobes first: ${named}.` : ""}`,
      source: wireSources,
    },
  ];
}

/** Nanoseconds on a metre of wire: Texas Instruments SDYA011, 5 nH and 0.8 pF for each centimetre. */
const NS_PER_METRE = 6.33;

/** The longest wire whose echo is back before an edge is over, in whole centimetres. */
export function lengthIn(edgeNs: number): number {
  return Math.floor((100 * edgeNs) / (2 * NS_PER_METRE));
}

function drivenNets({ nets }: Circuit, chip: Chip) {
  return nets.filter(({ drivers }) => drivers.some((driver) => driver.chip === chip));
}

/** The nets of a chip that act at once where they end: clocks, enables of latches, strobes. */
function clocksFrom(circuit: Circuit, chip: Chip): readonly Net[] {
  return drivenNets(circuit, chip).filter(({ receivers }) =>
    receivers.some(({ chip: at, pin }) => widthPins(at).has(pin)),
  );
}

/** Pins for which a sheet asks a least width: an echo there counts as a pulse. */
function widthPins({ part }: Chip): ReadonlySet<string> {
  const { widths, clocks } = requirementsOf(part.behaviour);
  return new Set([...widths.map(({ pin }) => pin), ...clocks.map(({ pin }) => pin)]);
}

function familyWord(family: string): string {
  return /^[A-Z]+$/.test(family) && family !== "SRAM" && family !== "EPROM" ? `74${family}` : family;
}
