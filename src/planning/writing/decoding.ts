import type { Polarity } from "../../raster/index.js";
import type { Design } from "../design.js";
import { bus } from "./board.js";
import {
  type Counting,
  countingFromSync,
  countings,
  isActive,
  isLast,
  isSerration,
  isSync,
  tableOf,
} from "./counting.js";
import { type Way, chooseWays, factorsFor, inverse, waysFor } from "./decode.js";
import { type Gate, chipsFor } from "./gates.js";
import type { Phases } from "./phases.js";
import type { SyncNet } from "./video.js";

/** How columns and lines are counted, and the gates that say where in them the board is. */
export interface Decoded {
  readonly columns: Counting;
  readonly lines: Counting;
  readonly gates: readonly Gate[];
  /** Horizontal and vertical, or both on one net. */
  readonly syncs: readonly SyncNet[];
  /** Lowest bits of the line counter that nobody reads. */
  readonly unreadLineBits: number;
}

/** One way to count in one direction, with ways to make what is asked of it. */
interface Axis {
  readonly counting: Counting;
  readonly wanted: readonly (readonly Way[])[];
  /** Nets that are all high where the picture is. */
  readonly visible: readonly { readonly nets: readonly string[]; readonly gates: Way }[];
}

/** Of all ways to count and to decode the one that takes fewest chips. */
export function decode(design: Design, phases: Phases): Decoded {
  const wishes = wishesOf(design);
  const isTelevision = design.output.kind !== "VGA";
  // A character is looked up by its row while the next column is counted: lines go on no sooner than that is over.
  const isInTime = ({ jump, counts }: Counting) => design.content.kind !== "text" || jump > counts.active;
  const columns = (isTelevision ? [countingFromSync(design.line)] : countings(design.line).filter(isInTime)).map(
    (counting) => columnAxis(counting, wishes),
  );
  const lines = countings(design.frame).map((counting) => lineAxis(counting, wishes));
  const found = columns.flatMap((column) =>
    lines.map((line) => {
      const load = column.visible.flatMap((some) =>
        line.visible.flatMap((others) =>
          phases.loadWhere([...some.nets, ...others.nets]).map((way): Way => [...some.gates, ...others.gates, ...way]),
        ),
      );
      const wanted = [...phases.choices, ...column.wanted, ...line.wanted, load];
      const gates = chooseWays(wanted, phases.gates);
      return { column, line, gates, chips: chipsFor(gates) };
    }),
  );
  const [best] = found.sort((a, b) => a.chips - b.chips || a.gates.length - b.gates.length);
  if (!best) throw new RangeError("a raster counts at least one column and one line");
  const { column, line, gates } = best;
  const read = new Set(gates.flatMap(({ inputs }) => inputs));
  const repeatBits = Math.log2(design.lineRepeat);
  return {
    columns: column.counting,
    lines: line.counting,
    gates,
    syncs: wishes.map(({ name, isPositive }) => ({ name, isPositive, next: nextOf(gates, `${name}_NEXT`) })),
    unreadLineBits: bus("LINE", line.counting.bits).findIndex((net, bit) => bit >= repeatBits || read.has(net)),
  };
}

function nextOf(gates: readonly Gate[], net: string): string {
  return gates.some(({ output }) => output === net) ? net : inverse(net);
}

/** A sync that is asked for, and the nets that may be decoded for it. */
interface SyncWish extends Omit<SyncNet, "next"> {
  readonly nets: readonly string[];
}

function wishesOf({ raster, content, output }: Design): readonly SyncWish[] {
  const wish = (name: SyncWish["name"], polarity: Polarity): SyncWish => {
    const [isPositive, net] = [polarity === "positive", `${name}_NEXT`];
    // Flip-flops with both outputs give either level of a sync; those of text have one.
    const active = isPositive ? net : inverse(net);
    return { name, isPositive, nets: content.kind === "text" ? [active] : [net, inverse(net)] };
  };
  if (output.kind !== "VGA") return [wish("CSYNC", "negative")];
  return [wish("HSYNC", raster.h.polarity), wish("VSYNC", raster.v.polarity)];
}

function columnAxis(counting: Counting, wishes: readonly SyncWish[]): Axis {
  const bits = bus("COL", counting.bits);
  const table = tableOf(counting, isLast(counting));
  const end = waysFor({ bits, table, net: "LINE_END#", remark: `column ${counting.jump - 1}` }).map((way): Way => [
    ...way,
    { kind: "NOT", inputs: ["LINE_END#"], output: "LINE_END" },
  ]);
  const syncs = wishes.flatMap(({ name, nets }) => {
    if (name === "HSYNC") {
      const sync = tableOf(counting, isSync(counting));
      return [nets.flatMap((net) => waysFor({ bits, table: sync, net, remark: "columns of sync" }))];
    }
    if (name === "CSYNC") return [nets.flatMap((net) => bothSyncs(counting, bits, net))];
    return [];
  });
  return { counting, wanted: [end, ...syncs], visible: visibleOf(counting, bits) };
}

/** In lines of vertical sync low all but a gap before the next line begins, in others low as long as a line's sync. */
function bothSyncs(counting: Counting, bits: readonly string[], net: string): readonly Way[] {
  const [sync, gap] = [tableOf(counting, isSync(counting)), tableOf(counting, isSerration(counting))];
  const at = (shown: number) => {
    const column = shown & (2 ** counting.bits - 1);
    if (shown >> counting.bits === 0) return sync.at(column);
    const isGap = gap.at(column);
    return isGap === undefined ? undefined : !isGap;
  };
  const table = { variables: counting.bits + 1, at };
  return waysFor({
    bits: [...bits, "VSYNC_LINE"],
    table,
    net,
    remark: "sync of a line, or of the frame but for a gap",
  });
}

function lineAxis(counting: Counting, wishes: readonly SyncWish[]): Axis {
  const bits = bus("LINE", counting.bits);
  const end = waysFor({
    bits,
    table: tableOf(counting, isLast(counting)),
    net: "FRAME_END#",
    and: ["LINE_END"],
    remark: `line ${counting.jump - 1}, in the column where lines go on`,
  });
  const table = tableOf(counting, isSync(counting));
  const syncs = wishes.flatMap(({ name, nets }) => {
    if (name === "HSYNC") return [];
    const wanted = name === "CSYNC" ? ["VSYNC_LINE"] : nets;
    return [wanted.flatMap((net) => waysFor({ bits, table, net, remark: "lines of sync" }))];
  });
  return { counting, wanted: [end, ...syncs], visible: visibleOf(counting, bits) };
}

function visibleOf(counting: Counting, bits: readonly string[]): Axis["visible"] {
  return factorsFor({ bits, table: tableOf(counting, isActive(counting)) });
}
