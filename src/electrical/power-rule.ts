import type { Circuit } from "../circuit/index.js";
import { type Measure, measure, printMeasure } from "../quantity/index.js";
import type { Weakness } from "../verdict/index.js";
import { type BoardPower, type ChipPower, boardPower } from "./chip-power.js";
import type { Advice, ElectricalOptions } from "./judge.js";
import { makeVerdict } from "./make-verdict.js";
import { dissipationRating, supplyRating } from "./ratings.js";
import type { ElectricalVerdict, ReckoningLine } from "./verdict.js";

/** Each chip's heat against its package, and its supply current against its pins, where it is known how much switches. */
export function powerVerdicts(circuit: Circuit, { edgesPerSecond }: ElectricalOptions): readonly ElectricalVerdict[] {
  if (!edgesPerSecond) return [];
  const { chips } = boardPower(circuit, edgesPerSecond);
  return chips.flatMap((power) => [...dissipation(power, circuit), ...supplyCurrent(power)]);
}

/** What the whole board draws, and what to set the supply's current limit to. */
export function powerAdvice(circuit: Circuit, { edgesPerSecond }: ElectricalOptions): readonly Advice[] {
  if (!edgesPerSecond || circuit.chips.length === 0) return [];
  const power = boardPower(circuit, edgesPerSecond);
  return [{ subject: "supply current", text: totalText(power, circuit), source: totalSource }];
}

const totalSource =
  "Texas Instruments SCAA035 and SZZA036: power at rest, Cpd times the supply squared times the rate of each unit, and the " +
  "same of what its outputs charge";

/** Limits of bench supplies are set in such steps, in mA; half as much again as the board's own: common practice. */
const LIMIT_STEP = 50;
const LIMIT_SHARE = 1.5;

function totalText({ chips, unknown, total }: BoardPower, { supplies, picture }: Circuit): string {
  const milliamps = total * 1000;
  const limit = Math.ceil((milliamps * LIMIT_SHARE) / LIMIT_STEP) * LIMIT_STEP;
  const most = [...chips].sort((a, b) => b.amperes.total - a.amperes.total).slice(0, 3);
  const named = most.map(({ chip, amperes }) => `${chip.ref} ${chip.part.number} ${current(amperes.total)}`).join(", ");
  const volts = Math.max(...supplies.map(({ volts: { max } }) => max));
  const left =
    unknown.length === 0
      ? ""
      : ` No sheet on record says what these draw, so theirs comes on top: ${unknown.map(({ ref, part }) => `${ref} ${part.number}`).join(", ")}.`;
  return (
    `The board draws ${current(total)} at most, at ${Number(volts.toFixed(2))} V${picture ? " with the picture's resistors" : ""}; ` +
    `the most goes to ${named}. Set the supply's current limit to about ${limit} mA.${left}`
  );
}

function current(amperes: number): string {
  return `${(amperes * 1000).toFixed(amperes < 0.01 ? 1 : 0)} mA`;
}

function dissipation(power: ChipPower, { ambientCelsius }: Circuit): readonly ElectricalVerdict[] {
  const { chip, watts } = power;
  const rating = dissipationRating(chip.part, ambientCelsius.max);
  if (!rating) return [];
  const [required, available] = [measure("power", watts * 1e9), measure("power", rating.limit * 1e6)];
  const margin = available.amount - required.amount;
  return [
    makeVerdict({
      ...common(power, "dissipation"),
      quantity: "power",
      state: margin < 0 ? "fails" : "holds",
      required: required.amount,
      available: available.amount,
      margin,
      demand: `${chip.ref} may turn ${printMeasure(available)} into heat in air of ${ambientCelsius.max} °C.`,
      remedies: margin < 0 ? ["larger resistors at its outputs, less load, or a family that draws less"] : [],
      restsOn: weaknesses(power, rating.fromMemory),
      reckoning: [
        ...linesOf(power),
        { text: "heat", figure: required },
        { text: "limit of the package", figure: available, source: rating.source },
      ],
    }),
  ];
}

function supplyCurrent(power: ChipPower): readonly ElectricalVerdict[] {
  const { chip, amperes } = power;
  const rating = supplyRating(chip.part);
  if (!rating) return [];
  const [required, available] = [measure("current", amperes.total * 1e9), measure("current", rating.limit * 1e6)];
  const margin = available.amount - required.amount;
  return [
    makeVerdict({
      ...common(power, "supply current"),
      quantity: "current",
      state: margin < 0 ? "fails" : "holds",
      required: required.amount,
      available: available.amount,
      margin,
      demand: `The supply pin of ${chip.ref} carries ${printMeasure(available)} at the very most.`,
      remedies: margin < 0 ? ["the outputs that drive resistors on two chips"] : [],
      restsOn: weaknesses(power, rating.fromMemory),
      reckoning: [
        ...linesOf(power),
        { text: "in all", figure: required },
        { text: "absolute maximum", figure: available, source: rating.source },
      ],
    }),
  ];
}

function common({ chip, capacitance }: ChipPower, rule: "dissipation" | "supply current") {
  const note = capacitance?.isStandIn
    ? `No sheet on record gives the power dissipation capacitance of a ${chip.part.number}: that of a chip of the same kind stands in, the largest on record.`
    : "";
  return { rule, nameParts: { head: rule, item: chip.ref, tail: "" }, chip: chip.ref, part: chip.part.number, note };
}

function weaknesses({ own, ttl, capacitance }: ChipPower, ratingFromMemory: boolean): readonly Weakness[] {
  const isRecalled = ratingFromMemory || own.fromMemory || ttl?.fromMemory === true || capacitance?.fromMemory === true;
  return [
    ...(isRecalled ? (["from memory"] as const) : []),
    ...(capacitance?.isStandIn ? (["common practice"] as const) : []),
  ];
}

function linesOf({ draw, amperes, own, ttl, capacitance }: ChipPower): readonly ReckoningLine[] {
  const { ttlInputs, inside, loads } = draw;
  const amps = (value: number): Measure => measure("current", value * 1e9);
  const rate = (all: Draw) => `${(all.reduce((sum, { hertz }) => sum + hertz, 0) / 1e6).toFixed(2)} MHz`;
  const charged = loads.filter(({ hertz }) => hertz > 0);
  return [
    { text: "highest supply", figure: measure("voltage", draw.volts * 1e6), mark: "circuit file" },
    { text: capacitance ? "at rest" : "by its sheet, unloaded", figure: amps(own.value), source: own.source },
    ...(ttl && ttlInputs && ttlInputs.count > 0
      ? [
          {
            text: "inputs at TTL levels",
            figure: amps(amperes.ttlInputs),
            working: `${ttlInputs.count} × ${printMeasure(amps(ttl.value))}`,
            source: ttl.source,
          },
        ]
      : []),
    ...(capacitance && inside.length > 0
      ? [
          {
            text: `inside: ${(capacitance.value * 1e12).toFixed(0)} pF ${inside.length === 1 ? `at ${rate(inside)}` : `in ${inside.length} units, together at ${rate(inside)}`}`,
            figure: amps(amperes.inside),
            working: "C × V × f",
            source: capacitance.source,
          },
        ]
      : []),
    ...(charged.length > 0
      ? [
          {
            text: `charging ${charged.length === 1 ? "one net" : `${charged.length} nets`} at ${rate(charged)}`,
            figure: amps(amperes.loads),
            working: "C × V × f",
          },
        ]
      : []),
    ...(amperes.resistors > 0
      ? [{ text: "into resistors, all of them at once", figure: amps(amperes.resistors) }]
      : []),
  ];
}

type Draw = ChipPower["draw"]["inside"];
