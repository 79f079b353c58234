import { nameOf } from "../verdict/index.js";
import type { ElectricalVerdict } from "./verdict.js";

/** What a rule must say of a verdict; of the rest there is nothing to say where it is left out. */
export type VerdictDraft = Pick<ElectricalVerdict, "rule" | "quantity" | "state" | "nameParts" | "demand"> &
  Partial<Omit<ElectricalVerdict, "name">>;

/** A verdict with everything that its rule has nothing to say of left empty. */
export function makeVerdict(draft: VerdictDraft): ElectricalVerdict {
  return {
    symbol: "",
    chip: "",
    part: "",
    pin: "",
    net: "",
    reference: "",
    count: 1,
    note: "",
    remedies: [],
    reckoning: [],
    restsOn: [],
    missing: [],
    ...draft,
    name: nameOf(draft.nameParts),
  };
}
