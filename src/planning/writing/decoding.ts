import type { Polarity } from "../../raster/index.js";
import type { Design } from "../design.js";
import { type Counting, countings, isActive, isLast, isSync, tableOf } from "./counting.js";
import { type Way, chooseWays, factorsFor, inverse, waysFor } from "./decode.js";
import { bus } from "./board.js";
import { type Gate, chipsFor } from "./gates.js";
import type { Phases } from "./phases.js";
import { pendingWays } from "./processor-latch.js";
import type { SyncNets } from "./video.js";

/** How columns and lines are counted, and the gates that say where in them the board is. */
export interface Decoded {
  readonly columns: Counting;
  readonly lines: Counting;
  readonly gates: readonly Gate[];
  readonly syncs: SyncNets;
  /** Lowest bits of the line counter that nobody reads. */
  readonly unreadLineBits: number;
}

/** Of all ways to count and to decode the one that takes fewest chips. */
export function decode(design: Design, phases: Phases): Decoded {
  const { raster } = design;
  // Flip-flops with both outputs give either level of a sync; those of text have one.
  const asked = (net: string, { polarity }: { readonly polarity: Polarity }) => {
    const active = polarity === "positive" ? net : `${net}#`;
    return design.content.kind === "text" ? [active] : [net, `${net}#`];
  };
  const columnWays = countings(design.line).map((counting) => columnWaysOf(counting, asked("HSYNC_NEXT", raster.h)));
  const lineWays = countings(design.frame).map((counting) => lineWaysOf(counting, asked("VSYNC_NEXT", raster.v)));
  const others = [...phases.gates];
  const found = columnWays.flatMap((column) =>
    lineWays.map((line) => {
      const load = column.visible.flatMap((some) =>
        line.visible.flatMap((more) =>
          phases.loadWhere([...some.nets, ...more.nets]).map((way): Way => [...some.gates, ...more.gates, ...way]),
        ),
      );
      const wanted = [...phases.choices, pendingWays(), column.end, column.sync, line.end, line.sync, load];
      const gates = chooseWays(wanted, others);
      return { column, line, gates, chips: chipsFor(gates) };
    }),
  );
  const [best] = found.sort((a, b) => a.chips - b.chips || a.gates.length - b.gates.length);
  if (!best) throw new RangeError("a raster counts at least one column and one line");
  const { column, line, gates } = best;
  const read = new Set(gates.flatMap(({ inputs }) => inputs));
  const bits = bus("LINE", line.counting.bits);
  const repeatBits = Math.log2(design.lineRepeat);
  const firstRead = bits.findIndex((net, bit) => bit >= repeatBits || read.has(net));
  return {
    columns: column.counting,
    lines: line.counting,
    gates,
    syncs: {
      h: { next: nextOf(gates, "HSYNC_NEXT"), isPositive: raster.h.polarity === "positive" },
      v: { next: nextOf(gates, "VSYNC_NEXT"), isPositive: raster.v.polarity === "positive" },
    },
    unreadLineBits: firstRead,
  };
}

function nextOf(gates: readonly Gate[], net: string): string {
  return gates.some(({ output }) => output === net) ? net : inverse(net);
}

interface AxisWays {
  readonly counting: Counting;
  readonly end: readonly Way[];
  readonly sync: readonly Way[];
  readonly visible: readonly { readonly nets: readonly string[]; readonly gates: Way }[];
}

function columnWaysOf(counting: Counting, syncs: readonly string[]): AxisWays {
  const bits = bus("COL", counting.bits);
  const last = counting.jump - 1;
  const remark = `column ${last}`;
  const end = waysFor({ bits, table: tableOf(counting, isLast(counting)), net: "LINE_END#", remark }).map(
    (way): Way => [...way, { kind: "NOT", inputs: ["LINE_END#"], output: "LINE_END" }],
  );
  return { counting, end, ...common(counting, bits, syncs, "columns") };
}

function lineWaysOf(counting: Counting, syncs: readonly string[]): AxisWays {
  const bits = bus("LINE", counting.bits);
  const remark = `line ${counting.jump - 1}, in the column where lines go on`;
  const end = waysFor({
    bits,
    table: tableOf(counting, isLast(counting)),
    net: "FRAME_END#",
    and: ["LINE_END"],
    remark,
  });
  return { counting, end, ...common(counting, bits, syncs, "lines") };
}

function common(counting: Counting, bits: readonly string[], syncs: readonly string[], name: string) {
  const table = tableOf(counting, isSync(counting));
  const remark = `${name} of sync`;
  return {
    sync: syncs.flatMap((net) => waysFor({ bits, table, net, remark })),
    visible: factorsFor({ bits, table: tableOf(counting, isActive(counting)) }),
  };
}
