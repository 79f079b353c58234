import type { Chip, Circuit } from "../circuit/index.js";
import { type InputFigures, isMissing } from "../parts/index.js";
import {
  type Fs,
  type Microvolts,
  type Nanoamps,
  measure,
  microvolts,
  printMeasure,
  timeMeasure,
} from "../quantity/index.js";
import type { ElectricalOptions } from "./judge.js";
import { makeVerdict } from "./make-verdict.js";
import { sourced } from "./net-load.js";
import { type BoardPins, type NetDriver, type NetPins, type NetReceiver, levelsOfChip } from "./net-pins.js";
import { highLevelAt, lowLevelAt, thresholdAt } from "./output-level.js";
import { isRecalled } from "./recalled.js";
import type { ElectricalVerdict, ReckoningLine } from "./verdict.js";

const OPEN_SOURCE =
  "Texas Instruments, footnote to the recommended conditions of every CMOS logic sheet (SCBA004): all unused inputs must be held at VCC or GND";

/** Inputs that the file leaves open: a CMOS one floats for good. */
export function openInputVerdicts(circuit: Circuit): readonly ElectricalVerdict[] {
  return circuit.chips.flatMap((chip) => {
    const levels = levelsOfChip(chip, circuit);
    const { pins, clockSource } = chip.part.behaviour;
    // The enable of an oscillator can has a pull-up inside.
    if (!levels || clockSource) return [];
    return pins.flatMap(({ name, role }): ElectricalVerdict[] => {
      if (role !== "input" || !chip.open.has(name)) return [];
      const figures = levels.input(name);
      return isMissing(figures) ? [] : [openInput(chip, name, figures)];
    });
  });
}

function openInput({ ref, part }: Chip, pin: string, { technology }: InputFigures): ElectricalVerdict {
  const floats = technology !== "bipolar";
  return makeVerdict({
    rule: "floating input",
    nameParts: { head: `floating input ${ref}`, item: pin, tail: "" },
    quantity: "count",
    chip: ref,
    part: part.number,
    pin,
    state: floats ? "fails" : "holds",
    demand: `No ${floats ? "CMOS" : "TTL"} input is left open: ${ref} ${pin} (${part.number}) is.`,
    note: floats
      ? "It takes any level, draws current at one in between, and may swing."
      : "An open TTL input reads as high, but catches noise; tie it high.",
    remedies: floats ? [`${pin} of ${ref} on high or low, also where nothing looks at its gate`] : [],
    reckoning: [{ text: "rule", source: OPEN_SOURCE }],
  });
}

/**
 * Three-state nets that nothing holds while nobody drives them: their own charge keeps the level for a while, against the
 * leakage of every pin. How long nobody drives is the proof's business.
 */
export function floatingNetVerdicts(
  { nets }: BoardPins,
  { allowedUndriven }: Circuit,
  { undrivenFor }: ElectricalOptions,
): readonly ElectricalVerdict[] {
  return nets.flatMap((pins): ElectricalVerdict[] => {
    const { net, drivers, receivers, pulls } = pins;
    const canFloat = drivers.length > 0 && drivers.every(({ letsGo }) => letsGo) && pulls.length === 0;
    const isCmos = receivers.length > 0 && receivers.every(({ figures }) => figures.technology !== "bipolar");
    if (!canFloat || !isCmos || net.toCome) return [];
    return [floatingNet(pins, undrivenFor?.get(net.name), allowedUndriven)];
  });
}

/** How long the charge of a net keeps a receiver's level. */
interface Keeping {
  readonly driver: NetDriver;
  readonly receiver: NetReceiver;
  readonly level: "high" | "low";
  readonly room: Microvolts;
  readonly time: Fs;
}

function floatingNet(pins: NetPins, gap: Fs | undefined, limit: Fs | undefined): ElectricalVerdict {
  const { net, drivers, receivers } = pins;
  const labels = new Set([...receivers, ...drivers].map(({ label }) => label));
  const chargeOf = (label: string) =>
    Math.max(
      0,
      ...receivers.filter((one) => one.label === label).map(({ figures }) => figures.typicalCapacitance),
      ...drivers.filter((one) => one.label === label).map(({ figures }) => figures.typicalOffCapacitance),
    );
  const leakOf = (label: string) =>
    Math.max(
      0,
      ...receivers.filter((one) => one.label === label).map(({ figures }) => figures.currentHigh),
      ...drivers.filter((one) => one.label === label).map(({ figures }) => figures.offCurrentHigh),
    );
  const leak = [...labels].reduce((sum, label) => sum + leakOf(label), 0) as Nanoamps;
  const charge = [...labels].reduce((sum, label) => sum + chargeOf(label), 0);
  // What a pin that also drives asks of its net matters while another one drives.
  const all = drivers.flatMap((driver) =>
    receivers
      .filter(({ label }) => label !== driver.label)
      .flatMap((receiver) => keepings(driver, receiver, charge, leak)),
  );
  const [first, ...rest] = all;
  const worst = first && rest.reduce((a, b) => (b.time < a.time ? b : a), first);
  const required = gap ?? limit;
  const draft = {
    rule: "floating input",
    nameParts: { head: "floating input", item: net.name, tail: worst?.receiver.family ?? "" },
    quantity: "time",
    chip: worst?.receiver.chip.ref ?? "",
    part: worst?.receiver.part ?? "",
    pin: worst?.receiver.pin ?? "",
    net: net.name,
    count: receivers.length,
  } as const;
  const remedies = [
    `a resistor of 10 kΩ from ${net.name} to high or low, which holds it while nobody drives it`,
    "outputs that hand the net over sooner",
  ];
  const demand = `While nobody drives ${net.name}, its own charge must keep the level at its CMOS inputs.`;
  if (required === undefined) {
    return makeVerdict({
      ...draft,
      state: "not covered",
      demand,
      note: "Every output on it can let go, and the file does not say for how long that is meant to be.",
      remedies: [remedies[0] ?? "", "'undriven' under 'limits' of the file, which the proof then holds the net to"],
    });
  }
  const available = worst?.time ?? (0 as Fs);
  const margin = available - required;
  const holds = margin >= 0;
  return makeVerdict({
    ...draft,
    state: holds ? "holds" : "fails",
    reference: worst?.driver.label ?? "",
    required,
    available,
    margin,
    demand,
    remedies: holds ? [] : remedies,
    restsOn: isRecalled(worst ? [worst.receiver.figures.levelSource, worst.driver.figures.highSource] : []),
    reckoning: [
      ...(worst ? chargeLines(worst, charge, leak) : []),
      {
        text:
          gap === undefined ? "limit of the file, which the proof holds it to" : "nobody drives it for, by the proof",
        figure: timeMeasure(required),
        ...(gap === undefined && { mark: "circuit file" as const }),
      },
      { text: "margin", figure: measure("time", margin) },
    ],
  });
}

function keepings(driver: NetDriver, receiver: NetReceiver, charge: number, leak: Nanoamps): readonly Keeping[] {
  const supply = microvolts(driver.supply.volts.min);
  const at = microvolts(receiver.supply.volts.min);
  const high = highLevelAt(driver.figures, supply, leak);
  const low = lowLevelAt(driver.figures, supply, leak);
  const rooms = [
    { level: "high" as const, room: (high ?? 0) - thresholdAt(receiver.figures.high, at) },
    { level: "low" as const, room: thresholdAt(receiver.figures.low, at) - (low ?? Infinity) },
  ];
  // Femtofarads times microvolts over nanoamperes are picoseconds.
  return rooms.map(({ level, room }) => ({
    driver,
    receiver,
    level,
    room: Math.max(0, room) as Microvolts,
    time: Math.floor((1000 * charge * Math.max(0, room)) / Math.max(1, leak)) as Fs,
  }));
}

function chargeLines(
  { driver, receiver, level, room, time }: Keeping,
  charge: number,
  leak: Nanoamps,
): readonly ReckoningLine[] {
  const farads = printMeasure(measure("capacitance", charge));
  const amperes = printMeasure(measure("current", leak));
  const volts = printMeasure(measure("voltage", room));
  return [
    {
      text: `from the ${level} level of ${driver.label} to what ${receiver.label} asks for`,
      figure: measure("voltage", room),
      ...sourced(receiver.figures.levelSource),
    },
    { text: "typical capacitance of the pins, wires left out", figure: measure("capacitance", charge) },
    { text: "leakage of every pin at most", figure: measure("current", leak) },
    { text: "its charge keeps the level for", figure: timeMeasure(time), working: `${farads} × ${volts} ÷ ${amperes}` },
  ];
}
