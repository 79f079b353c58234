import { type Fs, fs } from "../quantity/index.js";
import type { Lane, LaneEdge, LaneLevel, LaneSegment } from "./cycle-drawing.js";

/** A stretch of time in fs. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** What is known of a lane before it is drawn. Times in fs on one time line, of which the lane shows `span`. */
export interface LanePieces {
  readonly name: string;
  readonly kind: Lane["kind"];
  readonly span: Stretch;
  /** Where one change takes place, at some moment within each. */
  readonly changes: readonly Stretch[];
  /** Where anything may happen. */
  readonly unsettled: readonly Stretch[];
  /** Level and label between all those. */
  readonly at: (time: number) => { readonly level: LaneLevel; readonly label?: string };
}

interface Piece extends Stretch {
  readonly what: "change" | "unsettled" | "settled";
}

/** Puts the pieces in order, fills what is between them, and cuts the span out. */
export function laneOf({ name, kind, span, changes, unsettled, at }: LanePieces): Lane {
  const edges = joined(changes);
  const marked = [
    ...edges.map((stretch): Piece => ({ ...stretch, what: "change" })),
    ...joined(unsettled)
      .flatMap((stretch) => without(stretch, edges))
      .map((stretch): Piece => ({ ...stretch, what: "unsettled" })),
  ].sort((a, b) => a.from - b.from || a.to - b.to);
  const pieces: Piece[] = [];
  let end = Math.min(span.from, marked[0]?.from ?? span.from);
  for (const piece of marked) {
    if (piece.from > end) pieces.push({ from: end, to: piece.from, what: "settled" });
    pieces.push(piece);
    end = Math.max(end, piece.to);
  }
  if (end < span.to) pieces.push({ from: end, to: span.to, what: "settled" });

  const time = (value: number): Fs => fs(Math.round(Math.max(span.from, Math.min(value, span.to)) - span.from));
  const shown = (piece: Piece) =>
    piece.what === "unsettled" ? { level: "may change" as const } : at((piece.from + piece.to) / 2);
  const levelBy = (index: number, moment: number): LaneLevel => {
    const piece = pieces[index];
    return piece && piece.what !== "change" ? shown(piece).level : at(moment).level;
  };
  const segments: LaneSegment[] = [];
  const drawn: LaneEdge[] = [];
  pieces.forEach((piece, index) => {
    const [from, to] = [time(piece.from), time(piece.to)];
    const isInside = piece.to > span.from && piece.from < span.to;
    if (piece.what === "change") {
      const [before, after] = [levelBy(index - 1, piece.from - 1), levelBy(index + 1, piece.to)];
      if (isInside) drawn.push({ earliest: from, latest: to, from: before, to: after });
      return;
    }
    const now = shown(piece);
    const previous = pieces[index - 1];
    if (previous && previous.what !== "change" && isInside && piece.from > span.from) {
      drawn.push({ earliest: from, latest: from, from: shown(previous).level, to: now.level });
    }
    if (to > from) segments.push({ from, to, ...now });
  });
  return { name, kind, segments, edges: drawn };
}

/** Stretches in order, those that meet made one. */
function joined(stretches: readonly Stretch[]): Stretch[] {
  const result: Stretch[] = [];
  for (const { from, to } of [...stretches].sort((a, b) => a.from - b.from)) {
    const last = result.at(-1);
    if (last && from <= last.to) result[result.length - 1] = { from: last.from, to: Math.max(last.to, to) };
    else result.push({ from, to });
  }
  return result;
}

/** What is left of a stretch when others, in order and apart, are taken away. */
function without({ from, to }: Stretch, others: readonly Stretch[]): Stretch[] {
  const left: Stretch[] = [];
  let begin = from;
  for (const other of others) {
    if (other.to <= begin || other.from >= to) continue;
    if (other.from > begin) left.push({ from: begin, to: other.from });
    begin = Math.max(begin, other.to);
  }
  if (begin < to) left.push({ from: begin, to });
  return left;
}
