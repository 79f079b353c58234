import type { Fs } from "../quantity/index.js";
import { type Summary, summarise } from "../verdict/index.js";
import { nsText } from "./ns-text.js";
import type { Proof } from "./prove.js";
import type { Verdict } from "./verdict.js";

/** Does every slot fit? */
export function summary({ verdicts }: Pick<Proof, "verdicts">): Summary<Verdict> {
  return summarise(verdicts, {
    allHold: "Every slot fits",
    before: "",
    nothing: "Not known: there is nothing to prove in this circuit.",
    print: (_, margin) => `${nsText(margin as Fs)} ns`,
  });
}
