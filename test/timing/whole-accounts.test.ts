import { expect, test } from "vitest";
import type { Circuit } from "../../src/circuit/index.js";
import { type ChainStep, type Verdict, explain } from "../../src/timing/index.js";
import { proveSmall, smallCircuit } from "../support/margins-on-boards.js";

const CIRCUITS = [
  ...[
    "contention",
    "glitch",
    "hold",
    "memory-read",
    "memory-write",
    "pulse-width",
    "recovery",
    "synchroniser",
    "undriven",
  ].map((rule) => `rule ${rule}.circuit.yaml`),
  ...[1, 7, 9, 15, 20, 23, 27, 30, 40].map((seed) => `sketch ${seed}`),
];

test.for(CIRCUITS)("every verdict of %s is told in whole sentences, along ways that are wired", (name) => {
  const circuit = smallCircuit(name);
  const { verdicts } = proveSmall(circuit);
  expect(verdicts.flatMap((verdict) => textFaults(verdict))).toEqual([]);
  expect(verdicts.flatMap((verdict) => wayFaults(circuit, verdict))).toEqual([]);
});

function textFaults(verdict: Verdict): string[] {
  const { name, margin, state, chains } = verdict;
  const { heading, sentences, lines, sources } = explain(verdict);
  const size = margin === undefined ? "" : (Math.abs(margin) / 1e6).toFixed(2);
  const headings = {
    holds: margin === undefined ? `${name}: holds` : `${name} holds with ${size} ns to spare`,
    fails: margin === undefined ? `${name}: fails` : `${name} fails, short by ${size} ns`,
    "not settled": `${name}: not settled`,
    "not covered": `${name}: not covered`,
  };
  const isTold = heading === headings[state] && (!chains || lines.length >= 2);
  const texts = [name, heading, ...lines.map(({ text }) => text), ...sources];
  return [
    ...(isTold ? [] : [`${name}: ${heading}`]),
    ...texts.filter((text) => !isWords(text)),
    ...(sentences.length > 0 ? [] : [`${name}: no sentence`]),
    ...sentences.filter((sentence) => !isWords(sentence) || !/^[A-Z\d].*[.)]$/.test(sentence)),
  ];
}

/** Words with one space between them, and nothing left open. */
function isWords(text: string): boolean {
  return /^[^\s]+( [^\s]+)*$/.test(text) && !/undefined|NaN|\( | [.,;:)]/.test(text);
}

/** Where a chain does not lead along the circuit's wires to a net that the verdict is about. */
function wayFaults(circuit: Circuit, { name, chains, chip, net, reference }: Verdict): string[] {
  const netAt = (place: string) => {
    const [ref, pin = ""] = place.split(" ");
    return circuit.chips.find((one) => one.ref === ref)?.nets.get(pin)?.name ?? place;
  };
  const ends = [net, netAt(reference), netAt(`${chip} ${reference}`)];
  // Between an edge from outside and one of the board no period of the oscillator tells anything.
  const { between } = chains ?? {};
  const isOutside = between?.earlier.outside !== undefined || between?.later.outside !== undefined;
  if (isOutside && (between.period ?? between.high) !== undefined) return [`${name}: counts with the oscillator`];
  return [chains?.earlier ?? [], chains?.later ?? []].flatMap((steps) => {
    const faults = steps.flatMap((step, index) => {
      const before = steps[index - 1];
      const isJoined = !before || step.kind === "outside" || netAt(startOf(step)) === netAt(endOf(before));
      const isWired = step.kind !== "wire" || netAt(step.from) === netAt(step.to);
      return isJoined && isWired ? [] : [`${name}: ${before?.label ?? ""} leads to ${step.label}`];
    });
    const last = steps.at(-1);
    return !last || ends.includes(netAt(endOf(last))) ? faults : [...faults, `${name}: ends with ${last.label}`];
  });
}

/** Where a step begins and where it ends: a chip and its pin, or a net from outside. */
function startOf({ kind, chip, from }: ChainStep): string {
  return kind === "wire" ? from : `${chip} ${from}`;
}

function endOf({ kind, chip, to, label }: ChainStep): string {
  if (kind === "outside") return label.split(" ")[0] ?? "";
  return kind === "wire" ? to : `${chip} ${to}`;
}
