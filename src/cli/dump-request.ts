import type { Circuit, NetId } from "../circuit/index.js";
import { nearestNames } from "../parts/index.js";
import { type Fs, fs, isMisread, ns, parseTime } from "../quantity/index.js";
import { type DumpedNets, groupBuses } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";

/** What to write into a value change dump. */
export type DumpRequest = {
  readonly nets: readonly DumpedNets[];
  readonly from: Fs;
  readonly to: Fs;
};

/** How long a dump lasts where no end is given: about three lines of 640x480. */
const usualSpan = ns(100_000);

/**
 * Reads the options of a dump. Nets are given by name, a bus by the name before its numbers; none at all means every net.
 *
 * @throws BadInput with one line for every mistake
 */
export function readDumpRequest(
  circuit: Circuit,
  options: { readonly nets: readonly string[]; readonly from: string; readonly to: string | undefined },
): DumpRequest {
  const problems: string[] = [];
  const read = (option: string, text: string): Fs => {
    const reading = parseTime(text);
    if (!isMisread(reading) && reading.value >= 0) return reading.value;
    const wrong = isMisread(reading) ? `${reading.wrong}; ${reading.expected} was expected` : "it lies before power-up";
    problems.push(`--${option} ${text}: ${wrong}`);
    return fs(0);
  };
  const from = read("from", options.from);
  const to = options.to === undefined ? fs(from + usualSpan) : read("to", options.to);
  if (problems.length === 0 && to < from) problems.push(`--to ${options.to} lies before --from ${options.from}`);

  const named = circuit.nets.filter(({ rail }) => !rail);
  const wanted = options.nets.flatMap((name): readonly NetId[] => {
    const one = named.find((net) => net.name === name);
    if (one) return [one.id];
    const bits = named.filter((net) => net.name.startsWith(name) && /^\d+$/.test(net.name.slice(name.length)));
    if (bits.length === 0) {
      const [near] = nearestNames(
        name,
        named.map((net) => net.name),
        1,
      );
      problems.push(`--nets ${name}: there is no such net${near === undefined ? "" : `; did you mean ${near}?`}`);
    }
    return bits.map(({ id }) => id);
  });
  if (problems.length > 0) throw new BadInput(problems.map((text) => ({ text })));
  const nets = options.nets.length > 0 ? [...new Set(wanted)] : named.map(({ id }) => id);
  return { nets: groupBuses(circuit, nets), from, to };
}
