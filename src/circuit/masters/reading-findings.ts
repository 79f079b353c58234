import type { ProcessorBus, Source } from "../../parts/index.js";
import { type Fs, type Range, fs, printTime } from "../../quantity/index.js";
import type { MasterFinding } from "../circuit.js";
import type { GrowingChip } from "../nets.js";
import { aboutMaster, restsOn } from "./finding.js";
import { type Reads, findReads } from "./reads.js";

export interface ReadingOf {
  readonly chip: GrowingChip;
  readonly bus: ProcessorBus;
  /** Limits of a wire's delay. */
  readonly wire: Range<Fs>;
  readonly source: Source;
}

/** What it reads of the board's chips, and whether these let go before it writes. */
export function readingFindings(of: ReadingOf): readonly MasterFinding[] {
  const found = findReads(of.chip, of.bus, of.wire);
  return found ? [inTime(found, of), handOver(found, of)] : [];
}

function inTime(found: Reads, { chip, source }: ReadingOf): MasterFinding {
  const { chips, access, hold, others, untimed, delays } = found;
  const missing = [...delays.missing];
  const [worst] = [access, hold].flatMap((slack) => slack ?? []).sort((a, b) => a.margin - b.margin);
  const weak = restsOn(delays, source, worst === access ? "greatest" : "all");
  const at = { ...aboutMaster("processor", chip, source), item: "reads", restsOn: weak };
  if (missing.length > 0) return { ...at, state: "not covered", missing, note: "" };
  if (others.length > 0 || untimed.length > 0 || !worst) {
    const why = [...others, ...untimed.map((pin) => `${pin} of ${chip.ref}`)].join(", ");
    const note = `What ${chip.ref} reads of ${chips.join(", ")} hangs on ${why === "" ? "nothing" : why}, whose times are not known.`;
    return { ...at, state: "not covered", note };
  }
  const { pin, data, margin } = worst;
  const by = printTime(fs(Math.abs(margin)));
  const from = `the data of ${chips.join(", ")}`;
  const note =
    worst === access
      ? `After ${pin} ${from} come ${by} ${margin < 0 ? "too late" : "early"} at ${data} of ${chip.ref}.`
      : `When ${pin} changes, ${from} go ${by} ${margin < 0 ? "too soon" : "later than they may"} at ${data} of ${chip.ref}.`;
  return { ...at, pin: data, reference: pin, state: margin < 0 ? "fails" : "holds", margin, note };
}

function handOver({ chips, letGo, delays }: Reads, { chip, source }: ReadingOf): MasterFinding {
  const at = {
    ...aboutMaster("processor", chip, source),
    item: "hand-over",
    restsOn: restsOn(delays, source, "greatest"),
  };
  if (!letGo) {
    const note = `Nothing tells whether ${chips.join(", ")} let go of the data pins before ${chip.ref} writes.`;
    return { ...at, state: "not covered", note };
  }
  const note =
    `Of ${chips.join(", ")} the slowest to let go of the data pins before ${chip.ref} writes is ${letGo.chip}. ` +
    `How long ${chip.ref} goes on driving them after a write is not on record.`;
  return { ...at, state: letGo.margin < 0 ? "fails" : "holds", margin: letGo.margin, note };
}
