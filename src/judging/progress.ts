/** Told how far some work has come: `done` of `total`, in whatever unit the work counts, and `what` of many things it is at. */
export type Report = (done: number, total: number, what?: string) => void;

/** Whoever shows how far long work has come: a line on a terminal, a word on a page, or nothing. */
export type Progress = {
  /**
   * Does the work and shows how far it has come while it lasts. The work itself has to call `report` now and then, since a
   * computation leaves no room for a timer.
   */
  during<T>(label: string, work: (report: Report) => T | Promise<T>): Promise<T>;
};

/** Shows nothing. */
export const silentProgress: Progress = {
  during: async (_label, work) => work(() => undefined),
};
