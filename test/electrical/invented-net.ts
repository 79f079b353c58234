import type { Chip, Net, Supply } from "../../src/circuit/index.js";
import type { BoardPins, NetDriver, NetReceiver } from "../../src/electrical/net-pins.js";
import { femtofarads, microvolts, nanoamps } from "../../src/quantity/index.js";

/** One driver and some inputs with the figures of a worked example; what the example leaves out does not decide. */
export interface InventedNet {
  readonly volts?: { readonly VOH: number; readonly VOL: number; readonly VIH: number; readonly VIL: number };
  readonly milliamps?: { readonly IOH: number; readonly IOL: number; readonly IIH: number; readonly IIL: number };
  readonly inputs?: number;
}

const supply: Supply = { name: "main", volts: { min: 5, max: 5 } };
const source = { publisher: "none", document: "made for a test", fromMemory: false };
const chip = { ref: "U1" } as Chip;

export function inventedNet({
  volts = { VOH: 2.4, VOL: 0.4, VIH: 2, VIL: 0.8 },
  milliamps = { IOH: 0.4, IOL: 16, IIH: 0.04, IIL: 1.6 },
  inputs = 1,
}: InventedNet): BoardPins {
  const at = microvolts(5);
  const common = { chip, supply };
  const driver: NetDriver = {
    ...common,
    pin: "Y",
    label: "U1 Y",
    part: "driver",
    family: "A",
    letsGo: false,
    isAssumed: false,
    figures: {
      technology: "bipolar",
      kind: "standard",
      high: [{ supply: at, current: nanoamps(milliamps.IOH), level: microvolts(volts.VOH) }],
      low: [{ supply: at, current: nanoamps(milliamps.IOL), level: microvolts(volts.VOL) }],
      followsSupply: false,
      offCurrentHigh: nanoamps(0),
      offCurrentLow: nanoamps(0),
      offCapacitance: femtofarads(0),
      typicalOffCapacitance: femtofarads(0),
      testLoad: femtofarads(50),
      highSource: source,
      lowSource: source,
      offSource: source,
    },
  };
  const receivers = Array.from({ length: inputs }, (_, index): NetReceiver => ({
    ...common,
    pin: `A${index}`,
    label: `U2 A${index}`,
    part: "receiver",
    family: "B",
    figures: {
      technology: "bipolar",
      high: [{ supply: at, level: microvolts(volts.VIH) }],
      low: [{ supply: at, level: microvolts(volts.VIL) }],
      isSchmitt: false,
      currentHigh: nanoamps(milliamps.IIH),
      currentLow: nanoamps(milliamps.IIL),
      capacitance: femtofarads(5),
      isTypicalCapacitance: false,
      typicalCapacitance: femtofarads(5),
      upTo: "supply",
      levelSource: source,
      currentSource: source,
      capacitanceSource: source,
    },
  }));
  const net = { name: "NET" } as Net;
  return { nets: [{ net, drivers: [driver], receivers, pulls: [], otherResistors: [] }], withoutLevels: [] };
}
