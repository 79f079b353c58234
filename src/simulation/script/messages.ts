import type { Complaint } from "../../circuit/problem.js";
import type { Misreading } from "../../quantity/index.js";

/** The wording of every mistake in a script that is none of structure or YAML alone. */

const error = (code: string, message: string, more: Partial<Complaint> = {}): Complaint => ({
  severity: "error",
  code,
  message,
  ...more,
});

export const misread = ({ wrong, expected }: Misreading) => error("time", wrong, { expected });

export const noInput = (name: string, suggestion: string | undefined) =>
  error("no-input", `'${name}' is no input of the circuit, nor a bus of inputs`, {
    expected: "a net that stands under 'inputs' in the circuit file",
    ...(suggestion !== undefined && { suggestion }),
  });

export const noEdge = (text: string) =>
  error("no-edge", `'${text}' is no edge`, { expected: "a net and 'rise' or 'fall', such as VSYNC fall" });

export const noNet = (name: string, suggestion: string | undefined) =>
  error("no-net", `there is no net '${name}'`, {
    expected: "a net of the circuit",
    ...(suggestion !== undefined && { suggestion }),
  });

export const tooLarge = (value: number, name: string, bits: number) =>
  error("too-large", `${value} does not go into ${name}`, { expected: `at most ${2 ** bits - 1}` });

export const outOfPlace = (word: string) =>
  error("out-of-place", `${word} stands for nothing here`, {
    expected: word === "BIT" ? "BIT only inside 'bits'" : `${word} only inside 'write' at the top`,
  });

export const noBytes = () =>
  error("no-bytes", "it is not said what is written", { expected: "one of 'bytes', 'file' and 'text'" });

export const noWay = () =>
  error("no-way", "it is not said how a byte is written", { expected: "a list 'write' at the top of the script" });

export const unreadable = (file: string, why: string) =>
  error("unreadable", `${file}: ${why}`, { expected: "a file beside the script" });

export const badLetter = (letter: string) =>
  error("bad-letter", `'${letter}' is no letter of ISO 8859-1`, { expected: "a byte a letter" });

export const tooMany = (bytes: number, most: number) =>
  error("too-many", `${bytes.toLocaleString("en")} bytes are written`, {
    expected: `at most ${most.toLocaleString("en")} in one step`,
  });
