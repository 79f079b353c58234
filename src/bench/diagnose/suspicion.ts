import type { BoardPin, PinId } from "../board/board.js";
import { variantOf } from "../board/variant.js";
import { FREQUENCY, SHORTED_SUPPLY, type Fault } from "../faults/fault.js";
import { spotsOf } from "../faults/spots.js";
import type { FaultBench } from "../signature/catalogue.js";
import type { Reading, Readings } from "../signature/reading.js";
import type { Signature } from "../signature/simulate-group.js";
import type { ScreenSignature } from "../signature/screen-signature.js";
import { looksLike, screensOf } from "./gallery.js";
import { type Observation, fits, outcomeOf } from "./observation.js";

/** Faults that concern the same wire, pair of pins or chip as the likeliest of them, or that no measurement tells from one. */
export interface Suspect {
  /** The likeliest first. */
  readonly faults: readonly Fault[];
  /** How likely it is, of 1 for all suspects together. */
  readonly share: number;
  /** The likeliest of its faults shorts the supply: all stands still. */
  readonly shortsSupply: boolean;
}

/** A pin to measure next. */
export interface Probe {
  readonly pin: BoardPin;
  /** How much it tells, in bits. */
  readonly bits: number;
}

/** What a measurement counts where a fault leaves open what it gives, and where it does not fit. Our own choice. */
const OPEN_FIT = 0.1;
const NO_FIT = 0.01;
/** What it counts where a loop that should swing was seen to rest. */
const RESTING_FIT = 0.3;

const STILL_LOW: Reading = { hertz: 0, duty: 0, open: 0, fight: 0, rings: false };
const STILL_HIGH: Reading = { ...STILL_LOW, duty: 1 };

/** Which faults explain what was measured, and where to measure next. */
export class Suspicion {
  private readonly bench: FaultBench;
  private readonly faults: readonly Fault[];
  private readonly signatures: readonly Signature[];
  private readonly moved: readonly ReadonlyMap<PinId, number>[];
  /** Pins that a probe can reach. */
  readonly pins: readonly BoardPin[];
  /** Of each fault, pin and way, a number for what one would write down. */
  private readonly outcomes: Int32Array;
  /** Of each fault its class: faults of one are alike at every pin. -1 where nothing differs from a board without faults. */
  readonly classes: Int32Array;
  private readonly members: (readonly number[])[] = [];
  /** Of each class, where its likeliest fault is looked for, and a number for the first of these spots. */
  private readonly spots: readonly (readonly string[])[];
  private readonly spotNumbers: Int32Array;

  /** `faults` and `signatures` go together; all of the bench's when absent. */
  constructor(bench: FaultBench, signatures: readonly Signature[], faults: readonly Fault[] = bench.faults) {
    const { board } = bench;
    this.bench = bench;
    this.faults = faults;
    this.signatures = signatures;
    this.moved = faults.map(({ edit }) => variantOf(board, edit).moved);
    this.pins = board.pins.filter(({ kind }) => kind === "chip");
    const numbers = new Map<string, number>();
    const number = (reading: Reading) => {
      const key = outcomeOf(reading);
      const known = numbers.get(key);
      if (known !== undefined) return known;
      numbers.set(key, numbers.size);
      return numbers.size - 1;
    };
    const good = this.pins.map(({ node }) => this.usual(node));
    const goodNumbers = good.map((ways) => ways.map(number));
    this.outcomes = new Int32Array(faults.length * this.pins.length * 2);
    this.classes = new Int32Array(faults.length);
    const classOf = new Map<string, number[]>();
    faults.forEach((_, fault) => {
      let key = "";
      this.pins.forEach(({ id }, place) => {
        const own = this.readingsAt(fault, id).map(number);
        this.outcomes.set(own, (fault * this.pins.length + place) * 2);
        if (own.some((one, way) => one !== goodNumbers[place]?.[way])) key += `${place}:${own.join()} `;
      });
      const alike = classOf.get(key) ?? [];
      classOf.set(key, alike);
      alike.push(fault);
      this.classes[fault] = -1;
      if (key === "") return;
      if (alike.length === 1) this.members.push(alike);
    });
    for (const alike of classOf.values()) {
      alike.sort((a, b) => this.frequency(b) - this.frequency(a));
    }
    this.members.forEach((alike, index) => alike.forEach((fault) => (this.classes[fault] = index)));
    this.spots = this.members.map(([first]) => {
      const fault = faults[first ?? -1];
      return fault ? spotsOf(board, fault) : [];
    });
    const spotNumbers = new Map<string, number>();
    this.spotNumbers = Int32Array.from(this.spots, ([spot = ""]) => {
      const known = spotNumbers.get(spot) ?? spotNumbers.size;
      spotNumbers.set(spot, known);
      return known;
    });
  }

  /** Faults that measuring tells apart, or groups of them. */
  get classCount(): number {
    return this.members.length;
  }

  /** What a pin does on a board with a fault. */
  readingsAt(fault: number, pin: PinId): Readings {
    const signature = this.signatures[fault];
    if (signature?.isShorted) return [STILL_LOW, STILL_LOW];
    const node = this.moved[fault]?.get(pin) ?? this.bench.board.pins[pin]?.node ?? 0;
    return signature?.readings.at(node) ?? this.usual(node);
  }

  /** Whether a fault takes a pin from its net. */
  isMoved(fault: number, pin: PinId): boolean {
    return this.moved[fault]?.has(pin) ?? false;
  }

  /** Whether a fault shorts the supply, so that nothing moves. */
  isDead(fault: number): boolean {
    return this.signatures[fault]?.isShorted ?? false;
  }

  /** Whether a node is a net that chips are joined by. */
  isInUse(node: number): boolean {
    const net = this.bench.board.circuit.nets[node];
    return net !== undefined && net.rail === undefined;
  }

  /** What a pin does without a fault. */
  usualAt(pin: PinId): Readings {
    return this.usual(this.bench.board.pins[pin]?.node ?? 0);
  }

  /**
   * How likely each class of faults is after these measurements, in each of its two ways; of 1 for all together. A fault that
   * leaves open what a pin does may do so in a third way: what fits neither counts little, not nothing.
   */
  weigh(observations: readonly Observation[], prior?: Float64Array): Float64Array {
    const weights = prior?.slice() ?? this.priors();
    this.members.forEach(([first], index) => {
      for (const observation of observations) {
        const ways = this.readingsAt(first ?? 0, observation.pin);
        const otherwise = isOpenTo(ways) ? OPEN_FIT : NO_FIT;
        ways.forEach((way, number) => {
          const at = 2 * index + number;
          const isResting = way.rings && observation.kind !== "frequency";
          const fit = isResting ? RESTING_FIT : fits(observation, way) ? 1 : otherwise;
          weights[at] = (weights[at] ?? 0) * fit;
        });
      }
    });
    return normal(weights);
  }

  /** Whether a single fault fits all measurements, or nothing need be wrong at all. */
  isExplained(observations: readonly Observation[]): boolean {
    return (
      fitsAll(observations, (pin) => this.usualAt(pin)) ||
      this.representatives.some((fault) => this.explains(fault, observations))
    );
  }

  /** Whether a fault fits all measurements: each in one of its ways, since what is open at one pin may go otherwise at another. */
  explains(fault: number, observations: readonly Observation[]): boolean {
    return fitsAll(observations, (pin) => this.readingsAt(fault, pin));
  }

  /** The likeliest fault of each class, by position. */
  get representatives(): readonly number[] {
    return this.members.flatMap(([first]) => first ?? []);
  }

  /** Suspects by weights, the likeliest first. */
  ranked(weights: Float64Array): readonly Suspect[] {
    return this.grouped(weights).map(({ classes, share }) => ({
      faults: classes.flatMap((index) => (this.members[index] ?? []).flatMap((fault) => this.faults[fault] ?? [])),
      share,
      shortsSupply: this.isDead(this.members[classes[0] ?? -1]?.[0] ?? -1),
    }));
  }

  /** How many suspects are likelier than the one that a fault, by position, belongs to. */
  rankOf(weights: Float64Array, fault: number): number {
    const own = this.classes[fault] ?? -1;
    return this.grouped(weights).findIndex(({ classes }) => classes.includes(own));
  }

  /** Classes that one look at a wire, a pair of pins or a chip settles, the likeliest first. */
  private grouped(weights: Float64Array): readonly { readonly classes: readonly number[]; readonly share: number }[] {
    const order = this.members.map((_, index) => index).sort((a, b) => shareOf(weights, b) - shareOf(weights, a));
    const groups: { readonly classes: number[]; share: number }[] = [];
    const bySpot = new Map<string, (typeof groups)[number]>();
    for (const index of order) {
      const spots = this.spots[index] ?? [];
      let group = spots.map((spot) => bySpot.get(spot)).find((known) => known !== undefined);
      if (!group) {
        group = { classes: [], share: 0 };
        groups.push(group);
        for (const spot of spots) bySpot.set(spot, group);
      }
      group.classes.push(index);
      group.share += shareOf(weights, index);
    }
    return groups.sort((a, b) => b.share - a.share);
  }

  /**
   * The pin whose outcome tells most about where the fault is (the mutual information of Shannon's theory): what it tells
   * about how a fault shows does not count. Undefined where no pin tells the suspects apart.
   */
  next(weights: Float64Array, measured: ReadonlySet<PinId> = new Set()): Probe | undefined {
    const alive = [...weights.keys()].filter((at) => (weights[at] ?? 0) > WORTH_A_PROBE);
    const shares = alive.map((at) => weights[at] ?? 0);
    const places = alive.map((at) => (this.members[at >> 1]?.[0] ?? 0) * this.pins.length * 2 + (at & 1));
    const spots = alive.map((at) => this.spotNumbers[at >> 1] ?? 0);
    const total = shares.reduce((sum, share) => sum + share, 0);
    const ofSpots = sumsOf(spots, shares);
    const uncertainty = entropyOf(ofSpots, total);
    let best: Probe | undefined;
    this.pins.forEach((pin, place) => {
      if (measured.has(pin.id)) return;
      const outcomes = places.map((at) => this.outcomes[at + 2 * place] ?? 0);
      const ofOutcomes = sumsOf(outcomes, shares);
      const ofBoth = sumsOf(
        outcomes.map((outcome, index) => outcome * this.spotNumbers.length + (spots[index] ?? 0)),
        shares,
      );
      const bits = uncertainty + entropyOf(ofOutcomes, total) - entropyOf(ofBoth, total);
      if (bits > (best?.bits ?? LEAST_BITS)) best = { pin, bits };
    });
    return best;
  }

  /** The same after the screen was seen to look like this. What looks otherwise counts little, not nothing. */
  seeing(screen: ScreenSignature, prior: Float64Array = this.priors()): Float64Array {
    const isLike = new Map<ScreenSignature, boolean>();
    const weights = prior.slice();
    this.members.forEach(([first], index) => {
      screensOf(this.signatures[first ?? 0]).forEach((own, way) => {
        const fits = isLike.get(own) ?? looksLike(screen, own);
        isLike.set(own, fits);
        if (!fits) weights[2 * index + way] = (weights[2 * index + way] ?? 0) * NO_FIT;
      });
    });
    return normal(weights);
  }

  /** The same where only some faults, by position, come into question. */
  among(faults: ReadonlySet<number>): Float64Array {
    const weights = this.priors();
    this.members.forEach((alike, index) => {
      if (alike.some((fault) => faults.has(fault))) return;
      weights[2 * index] = 0;
      weights[2 * index + 1] = 0;
    });
    return normal(weights);
  }

  /** Before anything is measured. */
  priors(): Float64Array {
    const weights = this.members.flatMap((alike) => {
      const sum = alike.reduce((all, fault) => all + this.frequency(fault), 0);
      return [sum, sum];
    });
    return normal(Float64Array.from(weights));
  }

  private frequency(fault: number): number {
    const own = FREQUENCY[this.faults[fault]?.kind ?? "stuck"];
    return this.isDead(fault) ? own * SHORTED_SUPPLY : own;
  }

  private usual(node: number): Readings {
    const { board, good } = this.bench;
    const rail = node === board.low ? "low" : node === board.high ? "high" : board.circuit.nets[node]?.rail;
    if (rail) return rail === "high" ? [STILL_HIGH, STILL_HIGH] : [STILL_LOW, STILL_LOW];
    return good.readings.at(node) ?? [STILL_LOW, STILL_LOW];
  }
}

const WORTH_A_PROBE = 1e-4;
const LEAST_BITS = 0.01;

function sumsOf(keys: readonly number[], shares: readonly number[]): ReadonlyMap<number, number> {
  const sums = new Map<number, number>();
  keys.forEach((key, index) => sums.set(key, (sums.get(key) ?? 0) + (shares[index] ?? 0)));
  return sums;
}

/** In bits. */
function entropyOf(sums: ReadonlyMap<number, number>, total: number): number {
  let bits = 0;
  for (const sum of sums.values()) bits -= (sum / total) * Math.log2(sum / total);
  return bits;
}

function shareOf(weights: Float64Array, index: number): number {
  return (weights[2 * index] ?? 0) + (weights[2 * index + 1] ?? 0);
}

function fitsAll(observations: readonly Observation[], readings: (pin: PinId) => Readings): boolean {
  return observations.every((one) => readings(one.pin).some((way) => fits(one, way)));
}

/** Whether a fault leaves open what a pin does. */
function isOpenTo([one, other]: Readings): boolean {
  return outcomeOf(one) !== outcomeOf(other);
}

function normal(weights: Float64Array): Float64Array {
  const sum = weights.reduce((all, one) => all + one, 0);
  return sum > 0 ? weights.map((one) => one / sum) : weights;
}
