import type { Chip, Circuit } from "../circuit/index.js";
import { printTime } from "../quantity/index.js";

/** One thing that is not the same in two versions of a circuit. */
export interface CircuitChange {
  /** `U7: 74HC244 before, 74AHCT244 now`. */
  readonly text: string;
  /** Chips that it touches; none where it touches the whole board. */
  readonly refs: readonly string[];
}

/** What differs between two versions of a circuit: the board's own figures first, then chip by chip. */
export function circuitChanges(before: Circuit, after: Circuit): readonly CircuitChange[] {
  return [...boardChanges(before, after), ...inputChanges(before, after), ...chipChanges(before, after)];
}

function boardChanges(before: Circuit, after: Circuit): readonly CircuitChange[] {
  const told = (circuit: Circuit): Readonly<Record<string, string>> => ({
    supply: circuit.supplies.map(({ name, volts }) => `${name} ${volts.min} to ${volts.max} V`).join(", "),
    ambient: `${circuit.ambientCelsius.min} to ${circuit.ambientCelsius.max} °C`,
    build: circuit.build,
    raster: circuit.raster,
    "unstated minimum delays": `${circuit.unstatedMinimum.fractionOfTypical} of typical`,
    makers: [...circuit.makers].map(([family, maker]) => `${family} ${maker}`).join(", ") || "any",
  });
  const [one, other] = [told(before), told(after)];
  return Object.keys(one).flatMap((what) => differing(what, one[what] ?? "", other[what] ?? "", []));
}

function inputChanges(before: Circuit, after: Circuit): readonly CircuitChange[] {
  const timingOf = ({ inputs, nets }: Circuit) =>
    new Map(inputs.map(({ net, timing }) => [nets[net]?.name ?? "", JSON.stringify(timing)]));
  const [one, other] = [timingOf(before), timingOf(after)];
  return [...new Set([...one.keys(), ...other.keys()])].flatMap((net) => {
    if (one.get(net) === other.get(net)) return [];
    const what = !one.has(net) ? "is new" : other.has(net) ? "has other times" : "is gone";
    return [{ text: `input ${net} ${what}`, refs: [] }];
  });
}

function chipChanges(before: Circuit, after: Circuit): readonly CircuitChange[] {
  const chipsOf = ({ chips }: Circuit) => new Map(chips.map((chip) => [chip.ref, chip]));
  const [one, other] = [chipsOf(before), chipsOf(after)];
  return [...new Set([...one.keys(), ...other.keys()])].flatMap((ref): CircuitChange[] => {
    const [was, is] = [one.get(ref), other.get(ref)];
    if (!was) return [{ text: `${ref} ${is?.part.number ?? ""} is new`, refs: [ref] }];
    if (!is) return [{ text: `${ref} ${was.part.number} is gone`, refs: [ref] }];
    return [
      ...differing(ref, was.part.number, is.part.number, [ref]),
      ...measuredChanges(was, is),
      ...pinChanges(was, is),
    ];
  });
}

function measuredChanges(was: Chip, is: Chip): readonly CircuitChange[] {
  const told = ({ measured = [] }: Chip) =>
    new Map(
      measured.map(({ from, edge, to, change, min, max }) => [
        `${from} ${edge} to ${to} ${change}`,
        `${printTime(min)} to ${printTime(max)} measured`,
      ]),
    );
  const [one, other] = [told(was), told(is)];
  const of = (delays: ReadonlyMap<string, string>, arc: string) => delays.get(arc) ?? "not measured";
  return [...new Set([...one.keys(), ...other.keys()])].flatMap((arc) =>
    differing(`${is.ref} ${arc}`, of(one, arc), of(other, arc), [is.ref]),
  );
}

function pinChanges(was: Chip, is: Chip): readonly CircuitChange[] {
  const netOf = ({ nets, open }: Chip, pin: string) => nets.get(pin)?.name ?? (open.has(pin) ? "open" : "absent");
  const pins = new Set([...was.nets.keys(), ...was.open, ...is.nets.keys(), ...is.open]);
  return [...pins].flatMap((pin) => differing(`${is.ref} ${pin}`, netOf(was, pin), netOf(is, pin), [is.ref]));
}

function differing(what: string, before: string, after: string, refs: readonly string[]): readonly CircuitChange[] {
  return before === after ? [] : [{ text: `${what}: ${before} before, ${after} now`, refs }];
}
