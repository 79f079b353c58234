import { type NameParts, nameOf } from "../verdict/index.js";
import type { Verdict } from "./verdict.js";

/** A verdict that no time decides: about logic, or about what keeps rules from being proved. */
export function untimed(
  rule: Verdict["rule"],
  nameParts: NameParts,
  state: Verdict["state"],
  note: string,
  about: Partial<Pick<Verdict, "chip" | "part" | "net" | "missing">> = {},
): Verdict {
  return {
    name: nameOf(nameParts),
    nameParts,
    rule,
    symbol: "",
    chip: "",
    part: "",
    pin: "",
    net: "",
    reference: "",
    state,
    count: 0,
    source: "",
    restsOn: [],
    note,
    missing: [],
    ...about,
  };
}
