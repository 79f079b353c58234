import {
  type Figures,
  type Part,
  type ProcessorBus,
  type Requirement,
  type Source,
  register,
} from "../../parts/index.js";
import type { Fs } from "../../quantity/index.js";

/**
 * A processor that the board clocks, as one that takes over a level as its clock changes: the proof then asks of the clock the
 * times on which those of its bus rest, and set-up and hold of what makes it wait.
 */
export function clockedPart(part: Part, { processor, waits, fed: clock }: ProcessorBus, source: Source): Part {
  const { pin } = processor.clock;
  const edge = waits?.edge ?? "fall";
  const bit = register("waits", edge === "rise" ? pin : `!${pin}`, waits?.pin ?? "waits");
  const required = (kind: Requirement["kind"], symbol: string, time: Fs): Requirement => ({
    kind,
    symbol,
    time,
    source,
  });
  const figures: Figures = {
    ...part.figures,
    window: (kind, of, reference) => {
      if (!waits || of !== waits.pin || reference !== pin) return part.figures.window(kind, of, reference);
      const { wait } = processor;
      return kind === "set-up"
        ? required(kind, wait.setUp ?? "tsu", waits.setUp)
        : required(kind, wait.hold ?? "th", waits.hold);
    },
    width: (of, level) => {
      if (of !== pin) return part.figures.width(of, level);
      return required(`width ${level}`, `tw ${level}`, level === "high" ? clock.high : clock.low);
    },
    period: (of) => (of === pin ? required("clock period", "tclk", clock.period) : part.figures.period(of)),
  };
  return { ...part, behaviour: { ...part.behaviour, storage: [bit] }, figures };
}
