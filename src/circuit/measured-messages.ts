import type { Edge } from "../parts/index.js";
import { type Fs, type Range, printTime } from "../quantity/index.js";
import { error, list, name, quote } from "./wording.js";

/** The wording of mistakes in what a builder measured. */

/** Ends of a time, in one unit: `10.4 to 12 ns`. */
export const timeRange = ({ min, max }: Range<Fs>) => `${printTime(min)} to ${printTime(max)}`;

export const ASSUMED_MINIMUM = "no sheet states it: the file's 'unstated minimum delays'";

export const measuredBelowZero = (text: string) =>
  error("measured", `${quote(text)} is no delay: it begins below zero`, {
    expected: "a time with its uncertainty, such as 11.2 ± 0.8 ns or 10.4 to 12 ns",
  });

export const noUncertainty = (text: string) =>
  error("measured", `${quote(text)} is measured without an uncertainty`, {
    expected: "what the instrument, the supply and the temperature may add or take, such as 11.2 ± 0.8 ns",
  });

export const unknownMeasuredChip = (ref: string, suggestion: string | undefined) =>
  error("unknown-chip", `a delay is measured on ${name(ref)}, which is no chip`, { suggestion });

export const noEdge = (text: string) =>
  error("measured", `${quote(text)} does not say which edge of the output was measured`, {
    expected: "the output pin and 'rise' or 'fall', such as 'QA rise'",
  });

export const eitherEdge = (ref: string, from: string, to: string, change: Edge) =>
  error("measured", `either edge of ${ref} ${from} can make ${to} ${change}`, {
    expected: `the edge that was measured: '${from} rise' or '${from} fall'`,
  });

export const noSuchArc = (
  ref: string,
  part: string,
  from: string,
  edge: Edge | undefined,
  to: string,
  change: Edge,
  outputs: readonly string[],
) =>
  error(
    "measured",
    `in a ${name(part)} no ${edge ?? "edge"} of ${from} makes ${to} ${change}, so ${ref} has no such delay`,
    {
      expected:
        outputs.length === 0 ? `an input that drives ${to}` : `an output that ${from} leads to: ${list(outputs)}`,
    },
  );

export const nothingToNarrow = (missing: string) =>
  error("measured", `no sheet on record gives ${missing}, so there is nothing that a measurement narrows`, {
    expected: "a figure of your own, in a file named under 'own parts'",
  });

export const measuredAgainst = (
  what: string,
  measured: Range<Fs>,
  bound: "at least" | "at most",
  limit: Fs,
  source: string,
) =>
  error("measured", `${what}: ${timeRange(measured)} measured, but ${bound} ${printTime(limit)} possible (${source})`, {
    expected: "a measurement that meets the limits: look at the probe, the pins and the part number, or leave it out",
  });

export const measuredTwice = (what: string, now: Range<Fs>, before: Range<Fs>, line: number) =>
  error("measured", `${what}: ${timeRange(now)} measured here, but ${timeRange(before)} in line ${line}`, {
    expected: "measurements of one arc that can both be true",
  });
