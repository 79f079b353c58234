import { type NameParts, nameOf } from "../verdict/index.js";
import type { Check } from "./check.js";

/** The name of the place that a check is about, in the fewest words that a builder understands. */
export function namePartsOf(check: Check): NameParts {
  const { rule, symbol, chip, pin, net, reference } = check;
  switch (rule) {
    case "contention": {
      const other = reference.split(" ")[0] ?? reference;
      const tail = `${other}/${chip}${symbol === "both drive" ? " together" : ""}`;
      return { head: rule, item: net, tail };
    }
    case "undriven":
      return symbol === "gap"
        ? { head: rule, item: net, tail: chip }
        : { head: `${rule} ${chip}`, item: pin, tail: "" };
    case "memory write":
    case "memory cycle":
      return { head: `${symbol} ${chip}`, item: pin, tail: "" };
    case "pulse width":
      return { head: `${rule} ${chip}`, item: pin, tail: symbol.replace(/^tw /, "") };
    case "asynchronous signal":
      return { head: `${symbol} ${chip}`, item: pin, tail: "" };
    case "glitch":
      return chip === "" ? { head: rule, item: net, tail: "" } : { head: `${rule} ${chip}`, item: pin, tail: "" };
    default:
      return { head: `${rule} ${chip}`, item: pin, tail: "" };
  }
}

/** The names of checks: the short one where it stands for one place only, else with the reference and the net. */
export function uniqueNames(checks: readonly Check[]): readonly NameParts[] {
  const longer = [
    (parts: NameParts, { rule, reference, chip, pin }: Check) => {
      if (rule === "contention") return { ...parts, tail: `${reference}/${chip} ${pin}` };
      return withTail(parts, rule === "undriven" ? pin : reference === "" ? "" : `to ${reference}`);
    },
    (parts: NameParts, { net }: Check) => withTail(parts, `on ${net}`),
    (parts: NameParts, { symbol }: Check) => withTail(parts, symbol),
  ];
  return longer.reduce((names, lengthen) => {
    const counts = new Map<string, number>();
    for (const parts of names) counts.set(nameOf(parts), (counts.get(nameOf(parts)) ?? 0) + 1);
    return names.map((parts, index) => {
      const check = checks[index];
      return check && (counts.get(nameOf(parts)) ?? 0) > 1 ? lengthen(parts, check) : parts;
    });
  }, checks.map(namePartsOf));
}

function withTail(parts: NameParts, words: string): NameParts {
  return { ...parts, tail: [parts.tail, words].filter((part) => part !== "").join(" ") };
}
