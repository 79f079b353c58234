import { makeVerdict } from "./make-verdict.js";
import { type Level, cornersOf, levelOf, spanOf } from "./network-levels.js";
import { mostAmperesFrom } from "./output-amperes.js";
import type { ElectricalVerdict, ReckoningLine } from "./verdict.js";
import type { VideoOutput } from "./video-networks.js";
import { networkLines, printVolts, voltsMeasure, weaknessesOf } from "./video-reckoning.js";
import { type CompositeSystem, citation, compositeInterface, compositeSystems, ratioOf } from "./video-standards.js";

const { peakToPeak, sync, loadOhms, source, fromMemory } = compositeInterface;
const limits = {
  peakToPeak: {
    least: peakToPeak.nominal / ratioOf(peakToPeak.decibels),
    most: peakToPeak.nominal * ratioOf(peakToPeak.decibels),
  },
  sync: { least: sync.nominal / ratioOf(sync.decibelsLess), most: sync.nominal * ratioOf(sync.decibelsMore) },
};

/**
 * The sum of video and sync against what a receiver of composite video takes: from the tip of sync to white, and from the
 * tip of sync to black. Sync is taken to be active while all of its outputs are low. `system` says whose nominal levels stand
 * beside the circuit's; without it those of both systems do.
 */
export function compositeVerdicts(
  output: VideoOutput,
  system: CompositeSystem["system"] | undefined,
): readonly ElectricalVerdict[] {
  const { network, cable, bits, others } = output;
  const corners = cornersOf(network);
  const codes = { tip: new Set<string>(), black: new Set(others), white: new Set([...others, ...bits]) };
  const reference = [...network.drives.values()].map(({ pin }) => `${pin.chip.ref} ${pin.pin}`).join(", ");
  const common = { rule: "video level", quantity: "voltage", net: cable, reference } as const;
  if (!corners) {
    const note = "The network has more resistors and outputs than are gone through at all their limits.";
    const nameParts = { head: "composite level", item: cable, tail: "" };
    return [makeVerdict({ ...common, nameParts, state: "not settled", demand: demandOf("white"), note })];
  }
  const restsOn = [
    ...new Set([
      ...weaknessesOf(network, Math.max(...[...bits, ...others].map((net) => mostAmperesFrom(network, net)))),
      ...(fromMemory ? (["from memory"] as const) : []),
    ]),
  ];
  const levels = {
    tip: levelOf(network, cable, codes.tip, corners),
    black: levelOf(network, cable, codes.black, corners),
    white: levelOf(network, cable, codes.white, corners),
  };
  const lines = [...networkLines(network, citation(source, fromMemory)), ...levelLines(levels, system)];
  return (["white", "black"] as const).map((to) => {
    const { least, most } = to === "white" ? limits.peakToPeak : limits.sync;
    const { min, max } = spanOf(levels[to], levels.tip);
    const isHigh = max - most > least - min;
    const margin = Math.round((isHigh ? most - max : min - least) * 1e6);
    const [required, available] = isHigh ? [most, max] : [least, min];
    return makeVerdict({
      ...common,
      nameParts: { head: to === "white" ? "composite level" : "composite sync", item: cable, tail: "" },
      state: margin < 0 ? "fails" : "holds",
      required: voltsMeasure(required).amount,
      available: voltsMeasure(available).amount,
      margin,
      demand: demandOf(to),
      note:
        margin < 0
          ? `It comes to ${printVolts(min)} to ${printVolts(max)}. ` +
            (to === "white" ? "The picture is too bright or too dim." : "The receiver may not hold the picture still.")
          : "",
      remedies: margin < 0 ? [remedyOf(to, isHigh)] : [],
      restsOn,
      reckoning: [
        ...lines,
        { text: `sync tip to ${to} at least`, figure: voltsMeasure(min) },
        { text: `sync tip to ${to} at most`, figure: voltsMeasure(max) },
        {
          text: `limit, at ${isHigh ? "most" : "least"}`,
          figure: voltsMeasure(required),
          source: citation(source, fromMemory),
        },
      ],
    });
  });
}

function demandOf(to: "white" | "black"): string {
  const { least, most } = to === "white" ? limits.peakToPeak : limits.sync;
  const nominal = to === "white" ? peakToPeak.nominal : sync.nominal;
  return (
    `From the tip of sync to ${to} composite video has ${printVolts(least)} to ${printVolts(most)}, ` +
    `${printVolts(nominal)} nominal, into ${loadOhms} ohm.`
  );
}

function remedyOf(to: "white" | "black", isHigh: boolean): string {
  const which = to === "white" ? "the video resistor" : "the sync resistor";
  return isHigh ? `a larger value for ${which}` : `a smaller value for ${which}`;
}

function levelLines(
  { tip, black, white }: Readonly<Record<"tip" | "black" | "white", Level>>,
  system: CompositeSystem["system"] | undefined,
): readonly ReckoningLine[] {
  const own: readonly ReckoningLine[] = [
    { text: "sync tip from black, everything in the middle", figure: voltsMeasure(tip.middle - black.middle) },
    { text: "white from black, everything in the middle", figure: voltsMeasure(white.middle - black.middle) },
  ];
  const nominal = compositeSystems
    .filter((one) => system === undefined || one.system === system)
    .map((one): ReckoningLine => ({
      text: `${one.title}, from blanking: sync ${printVolts(one.sync)}, black ${printVolts(one.black)}, white ${printVolts(one.white)}`,
      source: citation(one.source, one.fromMemory),
    }));
  return [...own, ...nominal];
}
