import type { Chip, Circuit, PinRef } from "../circuit/index.js";
import { type CurrentPoint, type OutputFigures, isMissing, levelsOf } from "../parts/index.js";
import { type Measure, measure, printMeasure } from "../quantity/index.js";
import { driveOf } from "./output-drive.js";
import type { ElectricalOptions, Fight } from "./judge.js";
import { makeVerdict } from "./make-verdict.js";
import { outputRating, shortCircuitMilliamps } from "./ratings.js";
import type { ElectricalVerdict, ReckoningLine } from "./verdict.js";

/** What outputs stand while they are driven against: for so long at once, and for such a share of the time. */
const guidance = {
  seconds: 1e-3,
  share: 0.1,
  source:
    "74HC(T) user guide, as quoted at electronics.stackexchange.com question 620508: back-driving one output at a time, at most 1 ms and 10 % of the time",
} as const;

/** What outputs that fight do to each other: the current, the energy of one fight, and the mean over time. */
export function contentionVerdicts(circuit: Circuit, { fights = [] }: ElectricalOptions): readonly ElectricalVerdict[] {
  return fights.flatMap((fight) => fightVerdict(circuit, fight) ?? []);
}

function fightVerdict(circuit: Circuit, fight: Fight): ElectricalVerdict | undefined {
  const net = circuit.nets[fight.net];
  const [one, other] = fight.pins.map((label) => pinOf(circuit, label));
  if (!net || !one || !other) return undefined;
  const [toOne, toOther] = [fightCurrent(one, other, circuit), fightCurrent(other, one, circuit)];
  const worst = !toOne || (toOther && toOther.amperes > toOne.amperes) ? toOther : toOne;
  const names = [one.chip.ref, other.chip.ref].join("/");
  const common = {
    rule: "contention current",
    nameParts: { head: "contention current", item: net.name, tail: names },
    net: net.name,
    reference: fight.pins.join(" against "),
    demand:
      "Outputs that drive against each other do so for at most 1 ms and 10 % of the time, and with no more on average than one may carry.",
  } as const;
  if (!worst) {
    const missing = [one, other].map(({ chip, pin }) => `${chip.part.number} ${pin} levels`);
    return makeVerdict({
      ...common,
      quantity: "current",
      state: "not covered",
      missing,
      note: "What flows is not known.",
    });
  }
  const share = Math.min(1, fight.longest * fight.perSecond);
  const rating = [one, other].flatMap(({ chip }) => outputRating(chip.part) ?? []).sort((a, b) => a.limit - b.limit)[0];
  const mean = worst.amperes * share;
  const isLong = fight.longest > guidance.seconds || share > guidance.share;
  const [required, available] = [amps(mean), rating && measure("current", rating.limit * 1e6)];
  const margin = available && available.amount - required.amount;
  const fails = isLong || (margin !== undefined && margin < 0);
  const energy = worst.volts * worst.amperes * fight.longest;
  return makeVerdict({
    ...common,
    quantity: "current",
    state: fails ? "fails" : "holds",
    required: required.amount,
    ...(available && { available: available.amount }),
    // Where its length is against it the current is no comfort.
    ...(margin !== undefined && !(isLong && margin >= 0) && { margin }),
    note:
      `Up to ${printMeasure(amps(worst.amperes))} for ${nanoseconds(fight.longest)} each time, ` +
      `${printMeasure(measure("energy", energy * 1e15))} a fight, ${printMeasure(measure("power", energy * fight.perSecond * 1e9))} on average.` +
      (isLong ? ` They fight for ${(share * 100).toFixed(0)} % of the time.` : ""),
    remedies: fails ? ["a dead time between the owners of the net, so that one lets go before the next takes it"] : [],
    restsOn: ["common practice"],
    reckoning: [
      ...worst.lines,
      { text: "current while they fight", figure: amps(worst.amperes), working: worst.working },
      { text: "longest fight", figure: measure("time", fight.longest * 1e15) },
      { text: "energy of one", figure: measure("energy", energy * 1e15), working: "V × I × t" },
      { text: `fights a second: ${Math.round(fight.perSecond).toLocaleString("en")}` },
      { text: "mean current", figure: required },
      { text: "at most 1 ms at once and 10 % of the time", source: guidance.source },
      ...(available && rating ? [{ text: "an output may carry", figure: available, source: rating.source }] : []),
    ],
  });
}

function pinOf({ chips }: Circuit, label: string): PinRef | undefined {
  const space = label.indexOf(" ");
  const chip = chips.find(({ ref }) => ref === label.slice(0, space));
  return chip && { chip, pin: label.slice(space + 1) };
}

interface Current {
  readonly amperes: number;
  readonly volts: number;
  readonly working: string;
  readonly lines: readonly ReckoningLine[];
}

/**
 * What flows from an output that is high into one that is low: the supply over both resistances, as far as a bipolar one
 * gives it. Their resistances are half of what the sheets allow; a sheet's own curves (SN74LVC08A) show that transistors carry
 * less than that as they saturate.
 */
function fightCurrent(high: PinRef, low: PinRef, circuit: Circuit): Current | undefined {
  const [up, down] = [ohmsOf(high, "high", circuit), ohmsOf(low, "low", circuit)];
  if (up === undefined || down === undefined) return undefined;
  const volts = high.chip.supply.volts.max;
  const limit = shortCircuitMilliamps(high.chip.part);
  const free = volts / Math.max(1, up + down);
  const amperes = limit === undefined ? free : Math.min(free, limit / 1000);
  return {
    amperes,
    volts,
    working:
      limit !== undefined && amperes < free
        ? `no more than ${limit} mA`
        : `${volts.toFixed(2)} V ÷ ${(up + down).toFixed(0)} Ω`,
    lines: [
      { text: `${labelOf(high)} high, about`, figure: measure("resistance", up * 1e3), mark: "common practice" },
      { text: `${labelOf(low)} low, about`, figure: measure("resistance", down * 1e3), mark: "common practice" },
    ],
  };
}

/** 0 to 50 % of an exponential edge is 0.69 time constants: the resistance behind a growth of delay with load. */
const HALF_EDGE = 0.69;

function ohmsOf({ chip, pin }: PinRef, level: "high" | "low", circuit: Circuit): number | undefined {
  const figures = figuresOf(chip, pin, circuit);
  if (!figures) return undefined;
  // A memory's levels are those of TTL loads and say little of its transistors; how its times grow with load says more.
  if (figures.technology === "CMOS" && !figures.followsSupply && figures.slope) {
    return (figures.slope[level === "high" ? "rise" : "fall"] * 1e3) / HALF_EDGE;
  }
  const net = chip.nets.get(pin);
  const drive = net && driveOf({ ...net, drivers: [{ chip, pin }] }, circuit);
  if (!drive || isMissing(drive)) return undefined;
  const ohms = drive.promised < LEAST_LOAD_AMPERES ? loadedOhms(figures[level], level) : undefined;
  return (ohms ?? drive[level].weak.ohms) / 2;
}

/** A level at less than this says nothing of an output's resistance: sheets promise 0.1 or 0.2 V there for form's sake. */
const LEAST_LOAD_AMPERES = 1e-3;

/** The resistance at the lowest supply for which the sheet has a level under load; undefined where it has none. */
function loadedOhms(points: readonly CurrentPoint[], level: "high" | "low"): number | undefined {
  const loaded = points
    .map(({ current, supply, level: volts }) => ({
      amperes: current / 1e9,
      supply,
      drop: (level === "high" ? supply - volts : volts) / 1e6,
    }))
    .filter(({ amperes }) => amperes >= LEAST_LOAD_AMPERES)
    .sort((a, b) => a.supply - b.supply || b.amperes - a.amperes);
  const [point] = loaded;
  return point && point.drop / point.amperes;
}

function figuresOf(chip: Chip, pin: string, { ambientCelsius }: Circuit): OutputFigures | undefined {
  const found = levelsOf(chip.part, { supplyVolts: chip.supply.volts, ambientCelsius })?.output(pin);
  return found && !isMissing(found) ? found : undefined;
}

function labelOf({ chip, pin }: PinRef): string {
  return `${chip.ref} ${chip.part.number} ${pin}`;
}

function amps(amperes: number): Measure<"current"> {
  return measure("current", amperes * 1e9);
}

function nanoseconds(seconds: number): string {
  return `${(seconds * 1e9).toFixed(1)} ns`;
}
