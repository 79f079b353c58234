import { makeVerdict } from "./make-verdict.js";
import { cornersOf, levelOf, spanOf } from "./network-levels.js";
import { mostAmperesFrom } from "./output-amperes.js";
import type { ElectricalVerdict } from "./verdict.js";
import type { VideoOutput } from "./video-networks.js";
import { networkLines, printVolts, voltsMeasure, weaknessesOf } from "./video-reckoning.js";
import { citation, separateSync } from "./video-standards.js";

const { lowMost, highLeast, loadOhms, loadSource, source, fromMemory } = separateSync;

/** Both levels of a separate sync at the monitor, against what it takes for low and high. */
export function syncVerdict(output: VideoOutput): ElectricalVerdict {
  const { network, cable, others } = output;
  const corners = cornersOf(network) ?? [];
  const high = spanOf(levelOf(network, cable, new Set(others), corners));
  const low = spanOf(levelOf(network, cable, new Set(), corners));
  const isHighWorse = high.min - highLeast <= lowMost - low.max;
  const [required, available] = isHighWorse ? [highLeast, high.min] : [lowMost, low.max];
  const margin = Math.round((isHighWorse ? high.min - highLeast : lowMost - low.max) * 1e6);
  const isSettled = corners.length > 0;
  const fails = isSettled && margin < 0;
  const amperes = Math.max(0, ...others.map((net) => mostAmperesFrom(network, net)));
  return makeVerdict({
    rule: "sync level",
    nameParts: { head: "sync level", item: cable, tail: "" },
    quantity: "voltage",
    state: fails ? "fails" : isSettled ? "holds" : "not settled",
    net: cable,
    reference: [...network.drives.values()].map(({ pin }) => `${pin.chip.ref} ${pin.pin}`).join(", "),
    ...(isSettled && {
      required: voltsMeasure(required).amount,
      available: voltsMeasure(available).amount,
      margin,
    }),
    demand: `A monitor takes a sync for low up to ${lowMost} V and for high from ${highLeast} V.`,
    note: fails ? `The sync stands at ${printVolts(low.max)} when low and ${printVolts(high.min)} when high.` : "",
    remedies: fails ? ["a smaller resistor in series, or a stronger buffer"] : [],
    restsOn: [
      ...new Set([
        ...weaknessesOf(network, amperes),
        "common practice" as const,
        ...(fromMemory ? ["from memory" as const] : []),
      ]),
    ],
    reckoning: [
      ...networkLines(network, loadSource),
      { text: `high at least, into ${loadOhms} ohm`, figure: voltsMeasure(high.min) },
      { text: "low at most", figure: voltsMeasure(low.max) },
      {
        text: `limit of ${isHighWorse ? "high" : "low"}`,
        figure: voltsMeasure(required),
        source: citation(source, fromMemory),
      },
    ],
  });
}
