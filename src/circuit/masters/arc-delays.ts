import { type Arc, type Change, arcsOf, isMissing } from "../../parts/index.js";
import type { Chip, PinRef } from "../circuit.js";

/** Limits of a time in fs. */
export interface Span {
  readonly min: number;
  readonly max: number;
}

export function plus(a: Span, b: Span): Span {
  return { min: a.min + b.min, max: a.max + b.max };
}

export function hull(a: Span, b: Span): Span {
  return { min: Math.min(a.min, b.min), max: Math.max(a.max, b.max) };
}

/** Delays of chips on a way through a circuit, with a note of what they rest on. */
export class ArcDelays {
  /** Figures that no sheet on record gives, each with its chip. */
  readonly missing = new Set<string>();
  restsOnAssumed = false;
  restsOnMemory = false;

  /** From an input of a chip to an output, over every edge; undefined where no such way or no figure for it exists. */
  of({ chip, pin: to }: PinRef, from: string, counts: (change: Change) => boolean = () => true): Span | undefined {
    const spans = arcsOf(chip.part.behaviour)
      .filter((arc) => arc.from === from && arc.to === to)
      .flatMap((arc) => this.#moves(chip, arc, counts));
    return spans.length === 0 ? undefined : spans.reduce(hull);
  }

  #moves({ ref, part }: Chip, { from, to, moves }: Arc, counts: (change: Change) => boolean): readonly Span[] {
    return moves.flatMap(({ edge, change }) => {
      if (!counts(change)) return [];
      const delay = part.figures.delay(from, edge, to, change);
      if (isMissing(delay)) {
        this.missing.add(`${ref}: ${delay.missing}`);
        return [];
      }
      this.restsOnAssumed ||= delay.minimumIs === "assumed";
      this.restsOnMemory ||= delay.source.fromMemory || (delay.minimumSource?.fromMemory ?? false);
      return [{ min: delay.min, max: delay.max }];
    });
  }
}
