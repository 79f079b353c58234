import { ns } from "../../src/quantity/index.js";
import type { ChainStepView, VerdictView } from "../../src/paper/verdict-view.js";

function step(
  label: string,
  min: number,
  max: number,
  source: string,
  marks: Partial<ChainStepView> = {},
): ChainStepView {
  return { label, min: ns(min), max: ns(max), source, assumed: false, fromMemory: false, ...marks };
}

const hc175 = "Philips 74HC175, 85 °C, 4.5 V, 50 pF";
const ram = "Hitachi HM62256B, -70";
const oscillatorEdge = step("OSC rise", 0, 0, "");

export const readAccess: VerdictView = {
  rule: "memory read",
  state: "holds",
  place: "U26 A",
  placeNote: "74HCT166",
  required: ns(25),
  available: ns(37.4),
  margin: ns(12.4),
  count: 9600,
  moment: "dot 2, column 0, line 0",
  launch: [
    oscillatorEdge,
    step("U2 74HC175 CLK to 1Q#", 4.25, 44, hc175, { assumed: true }),
    step("wire", 0, 1, ""),
    step("U18 74HC244 1OE# to 1Y1", 4, 38, "Philips 74HC244, 85 °C, 4.5 V"),
    step("U25 62256-70 A0 to IO0 (tAA)", 10, 70, ram),
  ],
  capture: [oscillatorEdge, step("U1 74AHCT74 1CLK to 1Q", 1, 10, "Texas Instruments SCLS263", { fromMemory: true })],
  note: "Rests on an assumed least delay of U2.",
};

export const writePulse: VerdictView = {
  rule: "write pulse",
  state: "fails",
  place: "U25 WE#",
  placeNote: "62256-70",
  required: ns(55),
  available: ns(51.9),
  margin: ns(-3.1),
  count: 262_500,
  moment: "dot 5, column 0, line 0",
  launch: [oscillatorEdge, step("U1 74AHCT74 2CLK to 2Q#", 1, 10, "Texas Instruments SCLS263")],
  capture: [oscillatorEdge],
  note: "At typical figures the margin is +4.2 ns.",
};

export const missing: VerdictView = {
  rule: "hold",
  state: "not covered",
  place: "U9 ENP",
  placeNote: "74HC161",
  count: 1,
  moment: "",
  launch: [],
  capture: [],
  note: "No sheet on record gives 74HC161 ENP hold at 4.5 V.",
};

/** Places of one rule that hold, with margins from 20 ns upwards. */
export const setUps: readonly VerdictView[] = Array.from({ length: 12 }, (_, i) => ({
  ...readAccess,
  rule: "set-up",
  place: `U${i + 5} 1D`,
  placeNote: "",
  available: ns(45 + 7 * i),
  margin: ns(20 + 7 * i),
  note: "",
}));
