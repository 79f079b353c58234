import { networkAdvice } from "./network-advice.js";
import { type Code, type Level, type LevelSpan, cornersOf, levelOf, spanOf } from "./network-levels.js";
import { makeVerdict } from "./make-verdict.js";
import { mostAmperesFrom } from "./output-amperes.js";
import type { ElectricalVerdict, ReckoningLine } from "./verdict.js";
import type { VideoOutput } from "./video-networks.js";
import { networkLines, printVolts, voltsMeasure, weaknessesOf } from "./video-reckoning.js";
import { citation, componentVideo } from "./video-standards.js";

const { full, loadOhms, source } = componentVideo;

/** White of one colour against the monitor's limits, and where it has several bits whether each level is above the last. */
export function componentVerdicts(output: VideoOutput): readonly ElectricalVerdict[] {
  const { network, cable, bits } = output;
  const corners = cornersOf(network);
  const codes = codesOf(bits);
  const common = {
    rule: "video level",
    quantity: "voltage",
    net: cable,
    reference: [...network.drives.values()].map(({ pin }) => `${pin.chip.ref} ${pin.pin}`).join(", "),
  } as const;
  const demand =
    `White stands ${full.least.toFixed(3)} to ${full.most.toFixed(3)} V above black, ${full.nominal} V nominal, where the monitor ends the cable ` +
    `with ${loadOhms} ohm.`;
  const nameParts = { head: "video level", item: cable, tail: "" };
  if (!corners) {
    const note = "The network has more resistors and outputs than are gone through at all their limits.";
    return [makeVerdict({ ...common, nameParts, state: "not settled", demand, note })];
  }
  const levels = codes.map((code) => levelOf(network, cable, code, corners));
  const [black] = levels;
  const white = spanOf(levels.at(-1) ?? { middle: 0, atCorners: [] }, black);
  const isHigh = white.max - full.most > full.least - white.min;
  const [required, available] = isHigh ? [full.most, white.max] : [full.least, white.min];
  const margin = Math.round((isHigh ? full.most - white.max : white.min - full.least) * 1e6);
  const amperes = Math.max(...bits.map((net) => mostAmperesFrom(network, net)));
  const restsOn = weaknessesOf(network, amperes);
  const fails = margin < 0;
  const level = makeVerdict({
    ...common,
    nameParts,
    state: fails ? "fails" : "holds",
    required: voltsMeasure(required).amount,
    available: voltsMeasure(available).amount,
    margin,
    demand,
    note: fails ? failureNote(white) : "",
    remedies: fails ? networkAdvice(output) : [],
    restsOn,
    reckoning: [
      ...networkLines(network, citation(source)),
      ...(codes.length > 2 ? levelLines(levels.map((one) => spanOf(one))) : []),
      { text: "white above black, everything in the middle", figure: voltsMeasure(white.middle) },
      { text: "white above black at least", figure: voltsMeasure(white.min) },
      { text: "white above black at most", figure: voltsMeasure(white.max) },
      { text: `limit, at ${isHigh ? "most" : "least"}`, figure: voltsMeasure(required), source: citation(source) },
    ],
  });
  return codes.length > 2 ? [level, stepVerdict(output, levels)] : [level];
}

/** The codes of a colour's bits, from black to full. */
function codesOf(bits: readonly string[]): readonly Code[] {
  return Array.from(
    { length: 2 ** bits.length },
    (_, code) => new Set(bits.filter((_bit, at) => ((code >> (bits.length - 1 - at)) & 1) === 1)),
  );
}

function levelLines(spans: readonly LevelSpan[]): readonly ReckoningLine[] {
  return spans.map(({ middle, min, max }, code) => {
    const wanted = (full.nominal * code) / (spans.length - 1);
    return {
      text: `level ${code} of ${spans.length - 1}: ${printVolts(min)} to ${printVolts(max)}, should be ${printVolts(wanted)}`,
      figure: voltsMeasure(middle),
    };
  });
}

function stepVerdict({ network, cable, bits }: VideoOutput, levels: readonly Level[]): ElectricalVerdict {
  const even = full.nominal / (levels.length - 1);
  const steps = levels.slice(1).map((level, code) => spanOf(level, levels[code]).min);
  const least = Math.min(...steps);
  const lower = steps.indexOf(least);
  const margin = Math.round(least * 1e6);
  return makeVerdict({
    rule: "video level",
    nameParts: { head: "video steps", item: cable, tail: "" },
    quantity: "voltage",
    state: margin > 0 ? "holds" : "fails",
    net: cable,
    required: 0,
    available: margin,
    margin: margin > 0 ? margin : Math.min(margin, -1),
    demand: `Each level of ${bits.length} bits is above the one before; even steps would be ${printVolts(even)}.`,
    note: margin > 0 ? "" : `Level ${lower + 1} can be darker than level ${lower}.`,
    remedies: margin > 0 ? [] : ["resistors of 1 %, in ratios nearer to 1 : 2 : 4"],
    restsOn: weaknessesOf(network, 0),
    reckoning: [
      ...networkLines(network, citation(source)),
      { text: `least step, from level ${lower} to level ${lower + 1}`, figure: voltsMeasure(least) },
    ],
  });
}

function failureNote({ min, max }: LevelSpan): string {
  const span = `White comes to ${printVolts(min)} to ${printVolts(max)}`;
  if (max > full.most && min < full.least) return `${span}: dim on one board, and glaring on another.`;
  return max > full.most
    ? `${span}: the monitor may show bright parts without detail.`
    : `${span}: the picture may be dim.`;
}
