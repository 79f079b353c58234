import type { Edit } from "./edits.js";

/** A change that may make a failing verdict hold. */
export interface Change {
  /** What a builder does: `U3: 74AHCT574 in place of 74HC574`. */
  readonly what: string;
  readonly kind:
    | "part"
    | "other pins"
    | "tap or edge"
    | "whole net"
    | "register"
    | "hand-over"
    | "dead time"
    | "synchroniser"
    | "pull-up"
    | "split load"
    | "delay";
  readonly edits: readonly Edit[];
  /** Chips more than before. */
  readonly chips: number;
  /** Pins that are others now, `U2 3D` to `U29 1D`: what was checked there is checked here. */
  readonly moved?: Readonly<Record<string, string>>;
  /** What another part in a chip's place needs beside: `74F04 (U28)`, whose inverters make outputs that it lacks. */
  readonly inverters?: string;
  /** How promising, the largest first: nanoseconds gained of those that are short, as far as that is foreseen. */
  readonly promise: number;
}

/** A pin, `U2 3D`, by the name that it has after some changes. */
export function movedBy(changes: readonly Change[], pin: string): string {
  return changes.reduce((now, { moved }) => moved?.[now] ?? now, pin);
}
