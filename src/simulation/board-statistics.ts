import type { Fs } from "../quantity/index.js";
import type { BoardFault, BoardReport } from "./random-board.js";

/** One kind of fault over many boards. */
export interface FaultStatistics {
  readonly place: string;
  /** Seeds of the boards that show it, least first. */
  readonly boards: readonly number[];
  readonly worst: BoardFault;
  /** Seed of the board with the worst. */
  readonly worstBoard: number;
}

export interface BoardStatistics {
  readonly boards: number;
  /** Boards that show any fault, or could not be followed. */
  readonly faulty: number;
  /** What the most boards show first; where equal, by place. */
  readonly faults: readonly FaultStatistics[];
  readonly stopped: readonly BoardReport[];
  readonly events: number;
}

/** Counts over many boards, the same in whatever order they were run. */
export function statisticsOf(reports: readonly BoardReport[]): BoardStatistics {
  const places = new Map<string, FaultStatistics>();
  for (const { seed, faults } of [...reports].sort((a, b) => a.seed - b.seed)) {
    for (const fault of faults) {
      const known = places.get(fault.place);
      const isWorse = !known || shortOf(fault) > shortOf(known.worst);
      places.set(fault.place, {
        place: fault.place,
        boards: [...(known?.boards ?? []), seed],
        worst: isWorse ? fault : known.worst,
        worstBoard: isWorse ? seed : known.worstBoard,
      });
    }
  }
  const stopped = reports.filter((report) => report.stopped !== undefined);
  return {
    boards: reports.length,
    faulty: reports.filter(({ faults, stopped: why }) => faults.length > 0 || why !== undefined).length,
    faults: [...places.values()].sort(
      (a, b) => b.boards.length - a.boards.length || a.place.localeCompare(b.place, "en", { numeric: true }),
    ),
    stopped,
    events: reports.reduce((sum, { events }) => sum + events, 0),
  };
}

/** By how much too little there was. */
export function shortOf({ required, actual }: BoardFault): Fs {
  return (required - actual) as Fs;
}
