import type { LogicFamily } from "../design.js";

/** Which part does what in a family. */
export interface FamilyParts {
  readonly displayAddress: string;
  readonly processorAddress: string;
  readonly request: string;
  /** Of requests that wait for blanking: the picture's part of a line is decoded just in time for it. */
  readonly patientStages: "74HC175" | "74ACT174";
  readonly readRegister: string;
  readonly codeRegister: string;
  readonly shifter: string;
  /** A counter that loads and never counts: a register that is cleared in step with its clock. */
  readonly colourRegister: string;
  /** Syncs of a bitmap, and of text. */
  readonly syncs: string;
  readonly lateSyncs: string;
  /** Taps that are all high in phases 2 to 4 and have time for one more gate of so many inputs and one. */
  readonly twoToFour: readonly string[];
  /** Of two bytes the one that is shown. */
  readonly selector: string;
  /** Of the latched data: a quick board's address latches are enough for one inverter. */
  readonly dataEnable: "PROCESSOR#" | "PROCESSOR_DATA#";
  /** The tap with which banks change places: after a write, and long enough before a read. */
  readonly turnClock: "T5" | "T6";
  /** Of the reset's second stage: by way of an inverter where a quick flip-flop would race a wire of clock skew. */
  readonly resetOutput: "RING_RESET#" | "RING_RESET";
}

/** `HC` is the tide board, `fast` its wide sister. */
export const FAMILY_PARTS: Readonly<Record<LogicFamily, FamilyParts>> = {
  HC: {
    displayAddress: "74HC541",
    processorAddress: "74HC574",
    request: "74HC74",
    patientStages: "74HC175",
    readRegister: "74HCT574",
    codeRegister: "74HCT574",
    shifter: "74HCT166",
    colourRegister: "74ACT163",
    syncs: "74HC74",
    lateSyncs: "74HC273",
    twoToFour: ["T5#", "T7#"],
    selector: "74HCT157",
    dataEnable: "PROCESSOR#",
    turnClock: "T5",
    resetOutput: "RING_RESET#",
  },
  fast: {
    displayAddress: "74AHCT541",
    processorAddress: "74AHCT574",
    request: "74AHCT74",
    patientStages: "74ACT174",
    readRegister: "74AHCT574",
    codeRegister: "74AHCT574",
    shifter: "74ALS166",
    colourRegister: "74F163",
    syncs: "74AHCT74",
    lateSyncs: "74ACT174",
    twoToFour: ["T2"],
    selector: "74AHCT157",
    dataEnable: "PROCESSOR_DATA#",
    turnClock: "T6",
    resetOutput: "RING_RESET",
  },
};
