import type { Passive } from "../circuit/index.js";
import type { Range } from "../quantity/index.js";
import { type DrivenNetwork, cornersOf, levelOf, spanOf } from "./network-levels.js";
import { type NetworkChoice, bestNetwork } from "./network-search.js";
import type { OutputDrive } from "./output-drive.js";
import { type Series } from "./preferred-values.js";
import type { VideoOutput } from "./video-networks.js";
import { componentVideo } from "./video-standards.js";

const { full, loadOhms } = componentVideo;

/** Supplies to try, as shares of the middle, where none of the file's whole range does. */
const CLOSER_SUPPLIES = [0.05, 0.04, 0.03, 0.02, 0.01];

/** Series that shops have, with resistors of 1 %: E24 first, which more drawers hold. Common practice. */
const SERIES: readonly Series[] = ["E24", "E96"];
const TOLERANCE = 0.01;

/** What to put in the place of a network whose white is out of bounds, in words; empty where nothing helps. */
export function networkAdvice({ network, bits, cable }: VideoOutput): readonly string[] {
  const drives = bits.flatMap((net) => network.drives.get(net) ?? []);
  const [first] = drives;
  if (!first || drives.length !== bits.length) return [];
  const { min, max } = first.supply;
  const middle = (min + max) / 2;
  const supplies = [
    { supply: first.supply, words: "" },
    ...CLOSER_SUPPLIES.map((share) => ({
      supply: { min: middle * (1 - share), max: middle * (1 + share) },
      words: `, and a supply within ± ${share * 100} % of ${Number(middle.toPrecision(4))} V`,
    })),
  ].filter(({ supply }) => supply.min >= min && supply.max <= max);
  for (const { supply, words } of supplies) {
    for (const series of SERIES) {
      for (const wanted of [full.nominal, (full.least + full.most) / 2]) {
        const choice = choose(drives, series, wanted);
        if (holds(drives, bits, cable, choice, supply)) return [`${valuesOf(bits, choice)}, 1 %${words}`];
      }
    }
  }
  return [`a buffer with less resistance than ${first.pin.chip.part.number}, or two of its outputs in parallel`];
}

/** `430 ohm from RED`, or the resistors of several bits. */
export function valuesOf(bits: readonly string[], { ohms }: NetworkChoice): string {
  return ohms.map((value, at) => `${value} ohm from ${bits[at] ?? ""}`).join(", ");
}

/** The best network of a series for outputs half as weak as their sheets allow. */
export function choose(
  drives: readonly OutputDrive[],
  series: Series,
  fullVolts: number = full.nominal,
): NetworkChoice {
  const half = (weak: number, strong: number) => Number(((weak + strong) / 2).toFixed(4));
  const middle = ({ min, max }: Range) => (min + max) / 2;
  return bestNetwork({
    drivers: drives.map(({ supply, high, low }) => ({
      high: {
        volts: Number((middle(supply) - half(high.weak.volts, high.strong.volts)).toFixed(4)),
        ohms: half(high.weak.ohms, high.strong.ohms),
      },
      low: { volts: half(low.weak.volts, low.strong.volts), ohms: half(low.weak.ohms, low.strong.ohms) },
    })),
    loadOhms,
    fullVolts,
    series,
    shunt: false,
    leastOhms: 10,
    mostOhms: 10_000,
  });
}

function holds(
  drives: readonly OutputDrive[],
  bits: readonly string[],
  cable: string,
  { ohms }: NetworkChoice,
  supply: Range,
): boolean {
  const network: DrivenNetwork = {
    drives: new Map(drives.map((drive, at) => [bits[at] ?? "", { ...drive, supply }])),
    resistors: ohms.map((amount, at): Passive => ({
      ref: `R${at}`,
      kind: "resistor",
      value: "",
      amount,
      tolerance: TOLERANCE,
      nets: [bits[at] ?? "", cable],
      note: "",
    })),
    rails: new Map(),
    loads: new Map([[cable, loadOhms]]),
  };
  const corners = cornersOf(network);
  if (!corners) return false;
  const white = spanOf(levelOf(network, cable, new Set(bits), corners));
  return white.min >= full.least && white.max <= full.most;
}
