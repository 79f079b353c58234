import { findPart, isPartProblem } from "../../parts/index.js";
import { OPEN, bus } from "./board.js";
import type { FamilyParts } from "./families.js";
import { WRITING_CONDITIONS } from "./memory-named.js";
import { readBack } from "./read-back.js";
import type { SharingParts } from "./sharing.js";

/** A processor that waits until its byte is done, of a circuit that else is a write latch's. */
export interface Waiting {
  readonly cellNs: number;
  /** As a circuit file names it: `W65C02S`. */
  readonly processor: string;
  readonly parts: FamilyParts;
}

/**
 * Flip-flops that a request goes through until READY, a cell each: two that bring it into step, then the cell in which the RAM is
 * read, the one in which it is written, and one more. Without that one the next access could come just as this one is written,
 * where this one came too late to be sampled at once.
 */
export const WAIT_STAGES = 6;

/** How long ACCESS is low at least between two accesses: common practice, half a cycle of a processor of 2 MHz. */
const ACCESS_LOW_NS = 250;
/** READY falls so long after ACCESS rises: 74HC74 clock to output, 74HC86 and their wires, 44 + 30 + 6 ns (TI SCLS094, SCLS100). */
const READY_FALLS_NS = 80;

/** Least times of ACCESS, in nanoseconds: high until READY, which a request that is sampled at once brings a cell earlier. */
export function accessTimes({ cellNs }: Pick<Waiting, "cellNs">): Readonly<Record<"high" | "low" | "repeat", number>> {
  const high = Math.floor((WAIT_STAGES - 1) * cellNs);
  return { high, low: ACCESS_LOW_NS, repeat: high + ACCESS_LOW_NS };
}

/**
 * What is there is fetched in the first of two cells, and in the second the processor's byte is put where it writes: so which of
 * them drives hangs on the request alone, and nothing on when R/W is known.
 */
export function withWaits(plain: SharingParts, { parts }: Waiting): SharingParts {
  const back = readBack({ puts: "PUT", keeps: "PUT#", reads: "PENDING", parts });
  return {
    ...plain,
    ...back,
    writes: [{ net: "WE#", when: "WRITE_CELL", note: "ends and begins the write pulse" }],
    gates: [
      ...plain.gates,
      { kind: "XOR", inputs: ["REQUEST3", "REQUEST4"], output: "PUT", remark: "the cell after it" },
      { kind: "NOT", inputs: ["PUT"], output: "PUT#" },
      { kind: "AND", inputs: ["PUT", "WRITES"], output: "WRITE_CELL", remark: "the cell of a write" },
      {
        kind: "XOR",
        inputs: ["REQUEST#", `REQUEST${WAIT_STAGES}`],
        output: "READY",
        remark: "low until the byte is done",
      },
    ],
    flops: [{ note: "remembers whether the processor writes", clock: "ACCESS", data: "RW#", q: OPEN, qLow: "WRITES" }],
    block: {
      ...plain.block,
      chips: [...plain.block.chips, ...back.chips],
      about:
        `${plain.block.about} In that cell the RAM is read, in the next it is written if that is asked for: the byte is in, or stands on PR0 to PR7. ` +
        `A cell later the last stage raises READY: so the latches stand until the byte is in, wherever in a cell the request came. ${back.about}`,
    },
    connector: ["READY", ...bus("PR", 8)],
    picture: [
      "  PROCESSOR#  -     -     -     -     low   low   low   -      latches address the RAM",
      ...back.picture,
    ],
  };
}

/** What the processor's board has to do with ACCESS and READY. */
export function describeAccess({ processor }: Waiting): string {
  const { pin, asked } = waitPinOf(processor);
  return (
    `The processor puts address, RW# (low for a write) and data out and raises ACCESS, which latches them; READY falls within ${READY_FALLS_NS} ns, and the processor keeps ACCESS high until it rises, ` +
    `${WAIT_STAGES - 1} to ${WAIT_STAGES} cells after ACCESS. Then ACCESS is low for ${ACCESS_LOW_NS} ns at least. ` +
    `READY rises in step with this board's clock, at any time of the processor's: on the processor's board two flip-flops of its clock follow READY, and ` +
    `${pin} is let go where READY and the second of them are high, so that the processor stops at once and goes on in step.${asked}`
  );
}

/** The pin that makes a processor wait, and a sentence on what its sheet asks there, where one is on record. */
function waitPinOf(number: string): { readonly pin: string; readonly asked: string } {
  const part = findPart(number, WRITING_CONDITIONS);
  const processor = isPartProblem(part) ? undefined : part.processor;
  if (!processor) return { pin: "the processor", asked: "" };
  const { name, wait, clock, source, grades } = processor.record;
  const times = (processor.grade ?? grades[0])?.times ?? {};
  const [before, after] = [wait.setUp, wait.hold].map((symbol) => (symbol === undefined ? undefined : times[symbol]));
  const asked =
    wait.edge === undefined || before === undefined || after === undefined
      ? ""
      : ` ${name}: ${wait.pin} stands ${before} ns before ${clock.pin} ${wait.edge}s and ${after} ns after it (${source.publisher}, ${source.document}).`;
  return { pin: wait.pin, asked };
}
