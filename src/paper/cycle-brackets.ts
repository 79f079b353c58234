import { formatTime, fs } from "../quantity/index.js";
import type { Verdict } from "../timing/index.js";
import type { BusOwner } from "./bus-owners.js";
import type { Bracket } from "./cycle-drawing.js";
import type { Stretch } from "./lane-pieces.js";

interface Bounds {
  readonly earliest: number;
  readonly latest: number;
}

/** Where in the drawn cycle the memory's rules take hold. Times in fs, on the time line of `span`. */
export interface Anchors {
  readonly span: Stretch;
  readonly memory: string;
  /** The chip that takes the data for the screen, and its clock's edges. */
  readonly capture: { readonly ref: string; readonly edges: readonly Bounds[] } | undefined;
  readonly writeBegin: Bounds | undefined;
  readonly writeEnd: Bounds | undefined;
  readonly strobeLane: string | undefined;
  readonly buses: readonly {
    readonly lane: string;
    /** Name of the lane that says who has the bus. */
    readonly owner: string;
    readonly nets: readonly string[];
    readonly owners: readonly BusOwner[];
  }[];
}

/** The verdicts on the memory as dimensions of the drawn cycle: of each rule the worst. */
export function cycleBrackets(verdicts: readonly Verdict[], anchors: Anchors): Bracket[] {
  const { memory, capture, writeBegin, writeEnd, strobeLane, buses, span } = anchors;
  const laneOfNet = (net: string) => buses.find(({ nets }) => nets.includes(net))?.lane;
  const read = capture && worst(verdicts, (v) => v.rule === "memory read" && v.chip === capture.ref);
  const taken = capture?.edges[0];
  const brackets = [
    ...(read && taken ? until(read, laneOfNet(read.net), middle(taken), "data before load") : []),
    ...["tAS", "tAW", "tDW"].flatMap((symbol) => {
      const rule = worst(verdicts, (v) => v.chip === memory && v.symbol === symbol);
      const edge = symbol === "tAS" ? writeBegin : writeEnd;
      const what = { tAS: "before write", tAW: "until write ends", tDW: "until write ends" }[symbol] ?? "";
      return rule && edge ? until(rule, laneOfNet(rule.net), edge.earliest, what) : [];
    }),
    ...["tWR", "tDH"].flatMap((symbol) => {
      const rule = worst(verdicts, (v) => v.chip === memory && v.symbol === symbol);
      return rule && writeEnd ? from(rule, laneOfNet(rule.net), writeEnd.latest, "after write") : [];
    }),
    ...pulse(verdicts, anchors, strobeLane),
    ...buses.flatMap(({ nets, owner, owners }) => turnArounds(verdicts, nets, owner, owners, span)),
  ];
  return brackets.map((bracket) => ({
    ...bracket,
    from: fs(Math.round(clamp(bracket.from, span) - span.from)),
    to: fs(Math.round(clamp(bracket.to, span) - span.from)),
  }));
}

type LooseBracket = Omit<Bracket, "from" | "to"> & { readonly from: number; readonly to: number };

function pulse(verdicts: readonly Verdict[], { memory, writeBegin }: Anchors, lane: string | undefined) {
  const rule = worst(
    verdicts,
    (v) => v.chip === memory && (v.symbol === "tWP" || (v.rule === "pulse width" && v.net === lane)),
  );
  return rule && writeBegin ? from(rule, lane, writeBegin.latest, "pulse") : [];
}

/** A time that ends with an edge: available and required back from there, the margin before what is required. */
function until(verdict: Verdict, lane: string | undefined, edge: number, what: string): LooseBracket[] {
  const { required, available, margin } = verdict;
  if (lane === undefined || required === undefined || available === undefined || margin === undefined) return [];
  return [
    { lane, kind: "available", from: edge - available, to: edge, label: `${what} ${formatTime(available)}` },
    ...requiredBracket(verdict, lane, edge - required, edge, required),
    marginBracket(verdict, lane, edge - available, edge - required, margin),
  ];
}

/** A time that begins with an edge. */
function from(verdict: Verdict, lane: string | undefined, edge: number, what: string): LooseBracket[] {
  const { required, available, margin } = verdict;
  if (lane === undefined || required === undefined || available === undefined || margin === undefined) return [];
  return [
    { lane, kind: "available", from: edge, to: edge + available, label: `${what} ${formatTime(available)}` },
    ...requiredBracket(verdict, lane, edge, edge + required, required),
    marginBracket(verdict, lane, edge + required, edge + available, margin),
  ];
}

function requiredBracket(
  { symbol, pin, chip }: Verdict,
  lane: string,
  begin: number,
  end: number,
  required: number,
): LooseBracket[] {
  if (required === 0) return [];
  const name = symbol.startsWith("tw ") ? `${chip} ${pin} ${symbol.slice(3)}` : `${chip} ${symbol}`;
  return [{ lane, kind: "required", from: begin, to: end, label: `${name} ${formatTime(fs(required))}` }];
}

function marginBracket(
  { state, symbol, required }: Verdict,
  lane: string,
  a: number,
  b: number,
  margin: number,
): LooseBracket {
  const name = required === 0 && !symbol.startsWith("tw ") ? `${symbol} ` : "";
  return { lane, kind: "margin", from: Math.min(a, b), to: Math.max(a, b), label: `${name}${signed(margin)}`, state };
}

/** Between every two owners of a bus the worst gap, where the second takes the bus over. */
function turnArounds(
  verdicts: readonly Verdict[],
  nets: readonly string[],
  lane: string,
  owners: readonly BusOwner[],
  span: Stretch,
): LooseBracket[] {
  return owners.flatMap((later) =>
    owners.flatMap((earlier) => {
      if (earlier === later) return [];
      const rule = worst(
        verdicts,
        (v) =>
          v.rule === "contention" &&
          nets.includes(v.net) &&
          later.refs.includes(v.chip) &&
          earlier.refs.includes(v.reference.split(" ")[0] ?? ""),
      );
      const begins = later.handOvers.find(
        ({ drives, earliest }) => drives && earliest > span.from && earliest < span.to,
      );
      if (!rule || rule.margin === undefined || rule.available === undefined || !begins) return [];
      const label = `${earlier.name} to ${later.name} ${signed(rule.margin)}`;
      const [a, b] = [begins.earliest - rule.available, begins.earliest];
      return [{ lane, kind: "margin" as const, from: Math.min(a, b), to: Math.max(a, b), label, state: rule.state }];
    }),
  );
}

function worst(verdicts: readonly Verdict[], belongs: (verdict: Verdict) => boolean): Verdict | undefined {
  return verdicts
    .filter((verdict) => verdict.margin !== undefined && belongs(verdict))
    .sort((a, b) => (a.margin ?? 0) - (b.margin ?? 0))[0];
}

function middle({ earliest, latest }: Bounds): number {
  return (earliest + latest) / 2;
}

function clamp(time: number, { from: begin, to: end }: Stretch): number {
  return Math.max(begin, Math.min(time, end));
}

/** `+12.4 ns`, `−3.1 ns`, with a true minus. */
function signed(margin: number): string {
  return `${margin < 0 ? "−" : "+"}${formatTime(fs(Math.abs(margin)))}`;
}
