import type { Board, NodeId, PinId } from "../board/board.js";
import type { Observation } from "../diagnose/observation.js";
import type { FaultBench } from "../signature/catalogue.js";
import { SAME_DUTY, SAME_RATE } from "../signature/reading.js";
import type { Signature } from "../signature/simulate-group.js";
import type { ChannelReading } from "./capture-meter.js";

/** A channel as it was taken for a net of the circuit. */
export interface ComparedChannel {
  readonly channel: ChannelReading;
  readonly net: NodeId;
  readonly pin: PinId;
  /** `name`: it is called so. `told`: somebody said so. `behaviour`: no other net does what it does. */
  readonly by: "name" | "told" | "behaviour";
  /** What it amounts to, with the instrument's clock error taken out; absent where the sampling was too slow to tell. */
  readonly observation?: Observation;
}

export interface ComparedCapture {
  readonly channels: readonly ComparedChannel[];
  /** Names that belong to no net. */
  readonly unknown: readonly string[];
  /** By how much the instrument's clock is faster than the board's, as a share; where some net tells. */
  readonly clockError?: number;
}

/** Clocks of instruments and cans differ by less than this. Our own choice. */
export const MOST_CLOCK_ERROR = 0.02;
/** A net must rise so often on record that its rate counts, and be seen so long in periods of the shortest stretch. */
const LEAST_RISES = 8;

/**
 * Takes the channels of a capture for nets, by their names or as told, finds out how the instrument's clock differs from the
 * board's, and turns each channel into a measurement.
 */
export function compareCapture(
  { board, good }: FaultBench,
  channels: readonly ChannelReading[],
  told: ReadonlyMap<string, string>,
): ComparedCapture {
  const byName = new Map(board.circuit.nets.map(({ name, id }) => [plain(name), id]));
  const named: Taken[] = [];
  const others: ChannelReading[] = [];
  for (const channel of channels) {
    const said = told.get(channel.name);
    const net = byName.get(plain(said ?? channel.name));
    const pin = net === undefined ? undefined : pinOf(board, net);
    if (net === undefined || pin === undefined) others.push(channel);
    else named.push({ channel, net, pin, by: said === undefined ? "name" : "told" });
  }
  const guessed = guess(board, good, others, new Set(named.map(({ net }) => net)), ratioOf(named, good));
  const found = [...named, ...guessed];
  const ratio = ratioOf(found, good);
  return {
    channels: found.map((one) => {
      const observation = observe(one.channel, one.pin, ratio ?? 1);
      return { ...one, ...(observation && { observation }) };
    }),
    unknown: others.filter((channel) => guessed.every((one) => one.channel !== channel)).map(({ name }) => name),
    ...(ratio !== undefined && { clockError: ratio - 1 }),
  };
}

type Taken = Omit<ComparedChannel, "observation">;

/** By how much the instrument's clock is off: the median over the nets that run at nearly their rate. */
function ratioOf(taken: readonly Taken[], good: Signature): number | undefined {
  const ratios = taken
    .flatMap(({ channel, net }) => {
      const usual = good.readings.at(net)?.[0].hertz ?? 0;
      const ratio = channel.hertz / usual;
      const isNear = channel.rises >= LEAST_RISES && Math.abs(ratio - 1) < MOST_CLOCK_ERROR;
      return usual > 0 && isNear ? [ratio] : [];
    })
    .sort((a, b) => a - b);
  return ratios[ratios.length >> 1];
}

/**
 * Takes channels for nets by what they do: a net of the board without faults that runs at this rate and is high for this
 * share of the time, where there is no other one and no other channel like it. Where no net tells how the instrument's clock
 * is off, rates may be off by as much as clocks are.
 */
function guess(
  board: Board,
  good: Signature,
  channels: readonly ChannelReading[],
  taken: ReadonlySet<NodeId>,
  ratio: number | undefined,
): readonly Taken[] {
  const tolerance = ratio === undefined ? MOST_CLOCK_ERROR : SAME_RATE;
  const netsOf = ({ hertz, duty, rises }: ChannelReading) =>
    board.circuit.nets.flatMap(({ id, rail }) => {
      const usual = good.readings.at(id)?.[0];
      if (rises < LEAST_RISES || rail || taken.has(id) || !usual || usual.hertz === 0) return [];
      const isLike =
        Math.abs(hertz / (ratio ?? 1) / usual.hertz - 1) <= tolerance && Math.abs(duty - usual.duty) <= SAME_DUTY;
      return isLike ? [id] : [];
    });
  const candidates = channels.map(netsOf);
  return channels.flatMap((channel, index): Taken[] => {
    const [net, another] = candidates[index] ?? [];
    const pin = net === undefined ? undefined : pinOf(board, net);
    const isShared = candidates.some((own, other) => other !== index && net !== undefined && own.includes(net));
    if (net === undefined || another !== undefined || pin === undefined || isShared) return [];
    return [{ channel, net, pin, by: "behaviour" }];
  });
}

function observe({ hertz, rises, duty, seconds }: ChannelReading, pin: PinId, ratio: number): Observation | undefined {
  if (seconds <= 0) return undefined;
  if (rises === 0 && (duty === 0 || duty === 1)) return { pin, kind: duty === 1 ? "high" : "low" };
  if (rises < LEAST_RISES) return undefined;
  return { pin, kind: "frequency", hertz: hertz / ratio, duty };
}

/** The pin that drives a net stands for it. */
function pinOf({ pins }: Board, net: NodeId): PinId | undefined {
  const own = pins.filter(({ node, kind }) => node === net && kind === "chip");
  return (own.find(({ drives }) => drives) ?? own[0])?.id;
}

/** `MA[3]` and `ma3` are one name. */
function plain(name: string): string {
  return name.toLowerCase().replaceAll(/[[\]\s]/g, "");
}
