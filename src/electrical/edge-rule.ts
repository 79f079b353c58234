import type { Circuit } from "../circuit/index.js";
import { type Fs, measure, microvolts, printMeasure, timeMeasure } from "../quantity/index.js";
import { makeVerdict } from "./make-verdict.js";
import { type CapacitiveLoad, capacitiveLoad, sourced } from "./net-load.js";
import type { BoardPins, NetDriver, NetPins, NetReceiver } from "./net-pins.js";
import { isRecalled } from "./recalled.js";
import { type EdgeTime, edgeTime } from "./transition.js";
import type { ElectricalVerdict } from "./verdict.js";

/** Edges that are too slow for an input let it swing on the way: a verdict for each net and each pair of families. */
export function edgeVerdicts({ nets }: BoardPins, { build }: Circuit): readonly ElectricalVerdict[] {
  return nets.flatMap((pins) => {
    const worst = new Map<string, ElectricalVerdict>();
    for (const driver of pins.drivers) {
      const load = capacitiveLoad(pins, driver, build);
      const edge = edgeTime(driver, load.capacitance);
      if (!edge) continue;
      for (const receiver of pins.receivers) {
        const verdict = receiver.label === driver.label ? undefined : verdictOf(pins, driver, receiver, load, edge);
        const known = verdict && worst.get(verdict.name);
        if (verdict && (!known || (verdict.margin ?? 0) < (known.margin ?? 0))) worst.set(verdict.name, verdict);
      }
    }
    return [...worst.values()];
  });
}

function verdictOf(
  { net }: NetPins,
  driver: NetDriver,
  receiver: NetReceiver,
  load: CapacitiveLoad,
  edge: EdgeTime,
): ElectricalVerdict | undefined {
  const { slowestEdge, levelSource } = receiver.figures;
  if (!slowestEdge) return undefined;
  const limit = limitAt(
    slowestEdge.points,
    microvolts(receiver.supply.volts.min),
    microvolts(receiver.supply.volts.max),
  );
  const slope = Math.round((1e6 * edge.time) / edge.swing) as Fs;
  const margin = limit - slope;
  const holds = margin >= 0;
  const perVolt = (time: Fs) => printMeasure(measure("slope", time));
  return makeVerdict({
    rule: "input edge",
    nameParts: { head: "input edge", item: net.name, tail: `${driver.family} to ${receiver.family}` },
    quantity: "slope",
    symbol: "Δt/ΔV",
    chip: receiver.chip.ref,
    part: receiver.part,
    pin: receiver.pin,
    net: net.name,
    reference: driver.label,
    state: holds ? "holds" : "fails",
    required: slope,
    available: limit,
    margin,
    demand: `Edges of ${net.name} must take at most ${perVolt(limit)} at ${receiver.label} (${receiver.part}); ${driver.label} (${driver.part}) drives it.`,
    note: holds ? "" : "While the level passes the threshold slowly, the input may swing and pass on several edges.",
    remedies: holds
      ? []
      : [
          `a Schmitt gate (74HC14, 74HCT14) right before ${receiver.label}`,
          `a buffer, so that ${driver.label} has less to charge on ${net.name}`,
          "shorter wires",
        ],
    restsOn: ["common practice", ...isRecalled([levelSource, ...load.rests])],
    reckoning: [
      ...load.lines,
      { text: "load in all", figure: measure("capacitance", load.capacitance) },
      ...edge.lines,
      {
        text: "for each volt of 80 % of the swing",
        figure: measure("slope", slope),
        working: `${printMeasure(timeMeasure(edge.time))} ÷ ${printMeasure(measure("voltage", edge.swing))}`,
      },
      {
        text: `most at ${receiver.label} (${receiver.part})`,
        figure: measure("slope", limit),
        ...sourced(slowestEdge.source),
      },
      { text: "margin", figure: measure("slope", margin) },
    ],
  });
}

type Points = NonNullable<NetReceiver["figures"]["slowestEdge"]>["points"];

/** The tightest limit that holds at some supply of the range; sheets ask for faster edges at higher supplies. */
function limitAt(points: Points, min: number, max: number): Fs {
  const inside = points.filter(({ supply }) => min <= supply && supply <= max);
  const next = points.find(({ supply }) => supply >= max);
  const used = [...inside, ...(next ? [next] : points.slice(-1))];
  return Math.min(...used.map(({ perVolt }) => perVolt)) as Fs;
}
