import type {
  Chip,
  Circuit,
  ExternalInput,
  Net,
  NetId,
  Passive,
  PictureNets,
  Supply,
} from "../../src/circuit/circuit.js";
import { behaviourOf } from "../../src/parts/behaviours/index.js";
import type { Figures, Package, Part } from "../../src/parts/index.js";
import { packageOf } from "../../src/parts/package.js";
import { fs, range } from "../../src/quantity/index.js";

export interface ChipText {
  readonly ref: string;
  readonly number: string;
  readonly function: string;
  readonly note?: string;
  /** Pin to net; `high` and `low` are the rails. Signal pins that are not named are open. */
  readonly pins: Readonly<Record<string, string>>;
  /** In place of the function's usual package. */
  readonly package?: Package;
}

export interface BoardText {
  readonly title?: string;
  readonly chips: readonly ChipText[];
  readonly passives?: readonly Omit<Passive, "note">[];
  readonly inputs?: readonly string[];
  readonly toCome?: readonly string[];
  readonly picture?: { readonly hsync: string; readonly vsync: string; readonly video: string };
}

const nothingKnown = { missing: "figures of an invented part" };
const noFigures: Figures = {
  delay: () => nothingKnown,
  window: () => nothingKnown,
  width: () => nothingKnown,
  recovery: () => nothingKnown,
  period: () => nothingKnown,
  memory: () => nothingKnown,
};
const supply: Supply = { name: "main", volts: range(4.5, 5.5) };

/** A circuit for tests of what is handed out: real pin orders, no figures. */
export function board(text: BoardText): Circuit {
  type Draft = { -readonly [K in keyof Net]: Net[K] } & {
    drivers: Net["drivers"][number][];
    receivers: Net["receivers"][number][];
  };
  const nets = new Map<string, Draft>();
  const net = (name: string): Draft => {
    const found = nets.get(name);
    if (found) return found;
    const made: Draft = {
      id: nets.size as NetId,
      name,
      drivers: [],
      receivers: [],
      toCome: text.toCome?.includes(name) ?? false,
      ...(name === "high" || name === "low" ? { rail: name } : {}),
    };
    nets.set(name, made);
    return made;
  };
  for (const name of ["high", "low", ...(text.toCome ?? [])]) net(name);

  const chips = text.chips.map((given): Chip => {
    const part = partOf(given);
    const signals = part.behaviour.pins.filter(
      ({ role }) => role === "input" || role === "output" || role === "in-out",
    );
    const chip: Chip = {
      ref: given.ref,
      part,
      note: given.note ?? "",
      supply,
      nets: new Map(Object.entries(given.pins).map(([pin, name]) => [pin, net(name)])),
      open: new Set(signals.map(({ name }) => name).filter((name) => !(name in given.pins))),
    };
    for (const [pin, name] of Object.entries(given.pins)) {
      const role = part.behaviour.pins.find((p) => p.name === pin)?.role;
      if (!role) throw new RangeError(`${given.number} has no pin ${pin}`);
      if (role !== "input") net(name).drivers.push({ chip, pin });
      if (role !== "output") net(name).receivers.push({ chip, pin });
    }
    return chip;
  });
  const inputs = (text.inputs ?? []).map((name): ExternalInput => {
    const input: ExternalInput = {
      net: net(name).id,
      timing: { kind: "any time", leastHigh: fs(0), leastLow: fs(0), leastRepeat: fs(0) },
    };
    net(name).input = input;
    return input;
  });
  const picture: PictureNets | undefined = text.picture && {
    hsync: net(text.picture.hsync).id,
    vsync: net(text.picture.vsync).id,
    video: { kind: "mono", net: net(text.picture.video).id },
    width: 320,
    height: 240,
  };
  return {
    title: text.title ?? "Harbour lamp",
    supplyVolts: supply.volts,
    supplies: [supply],
    ambientCelsius: range(0, 50),
    build: "breadboard",
    unstatedMinimum: { fractionOfTypical: 0.25 },
    makers: new Map(),
    raster: "vga",
    chips,
    nets: [...nets.values()],
    passives: (text.passives ?? []).map((passive) => ({ ...passive, note: "" })),
    inputs,
    accepted: [],
    ...(picture ? { picture } : {}),
    wireDelay: range(fs(0), fs(1_000_000)),
    allowedContention: fs(0),
    toCome: (text.toCome ?? []).map((name) => net(name).id),
  };
}

function partOf(given: ChipText): Part {
  const behaviour = behaviourOf(given.function);
  const found = given.package ?? packageOf(given.function);
  if (!behaviour || !found) throw new RangeError(`no function ${given.function}`);
  return { number: given.number, family: "HC", behaviour, package: found, figures: noFigures };
}

/** Ten chips with one of everything that the wiring list knows: a bus, a three-state net, unused gates, a video resistor. */
export function harbourLamp(): Circuit {
  const bits = (names: readonly string[], net: string) =>
    Object.fromEntries(names.map((pin, i) => [pin, `${net}[${i}]`]));
  const q = ["QA", "QB", "QC", "QD"];
  return board({
    chips: [
      { ref: "X1", number: "OSC-25.175", function: "oscillator", note: "dot clock times two", pins: { OUT: "CLK25" } },
      {
        ref: "U1",
        number: "74HC163",
        function: "163",
        note: "dot and byte divider",
        pins: {
          CLK: "CLK25",
          "CLR#": "RESET#",
          "LOAD#": "high",
          ENP: "high",
          ENT: "high",
          A: "low",
          B: "low",
          C: "low",
          D: "low",
          ...bits(q, "DIV"),
        },
      },
      {
        ref: "U2",
        number: "74HC163",
        function: "163",
        note: "column counter",
        pins: {
          CLK: "DIV[3]",
          "CLR#": "RESET#",
          "LOAD#": "high",
          ENP: "high",
          ENT: "high",
          A: "low",
          B: "low",
          C: "low",
          D: "low",
          ...bits(q, "COL"),
          RCO: "LINE_END",
        },
      },
      {
        ref: "U3",
        number: "74HC244",
        function: "244",
        note: "screen's address onto the RAM",
        pins: {
          "1OE#": "SLOT#",
          "1A1": "COL[0]",
          "1A2": "COL[1]",
          "1A3": "COL[2]",
          "1A4": "COL[3]",
          "1Y1": "VA[0]",
          "1Y2": "VA[1]",
          "1Y3": "VA[2]",
          "1Y4": "VA[3]",
          "2OE#": "high",
          "2A1": "low",
          "2A2": "low",
          "2A3": "low",
          "2A4": "low",
        },
      },
      {
        ref: "U4",
        number: "74HC00",
        function: "00",
        note: "slot and load decode",
        pins: {
          "1A": "DIV[3]",
          "1B": "high",
          "1Y": "SLOT#",
          "2A": "LINE_END",
          "2B": "DIV[2]",
          "2Y": "HSYNC",
          "3A": "low",
          "3B": "low",
          "4A": "low",
          "4B": "low",
        },
      },
      {
        ref: "U5",
        number: "74HC74",
        function: "74",
        note: "video",
        pins: {
          "1D": "VA[0]",
          "1CLK": "CLK25",
          "1CLR#": "high",
          "1PRE#": "high",
          "1Q": "VIDEO",
          "2D": "low",
          "2CLK": "low",
          "2CLR#": "high",
          "2PRE#": "high",
        },
      },
    ],
    passives: [
      { ref: "C1", kind: "capacitor", value: "100 nF", amount: 1e-7, nets: ["high", "low"] },
      { ref: "C2", kind: "capacitor", value: "100 nF", amount: 1e-7, nets: ["high", "low"] },
      { ref: "C9", kind: "capacitor", value: "47 uF", amount: 47e-6, nets: ["high", "low"] },
      { ref: "R1", kind: "resistor", value: "470 ohm", amount: 470, nets: ["VIDEO", "GREEN"] },
      { ref: "R2", kind: "resistor", value: "10 kohm", amount: 10_000, nets: ["RESET#", "high"] },
      { ref: "C10", kind: "capacitor", value: "1 uF", amount: 1e-6, nets: ["RESET#", "low"] },
    ],
    inputs: ["RESET#"],
    toCome: ["VSYNC"],
    picture: { hsync: "HSYNC", vsync: "VSYNC", video: "VIDEO" },
  });
}
