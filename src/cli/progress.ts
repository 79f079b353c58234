import type { Progress, Report } from "../judging/index.js";

/** Where progress is written: standard error in real use. */
export type ProgressStream = {
  readonly isTTY?: boolean;
  readonly columns?: number;
  write(text: string): unknown;
};

/** No progress is shown before this, in milliseconds. */
const quietTime = 1000;
/** Time between updates of the line on a terminal, and between lines elsewhere (a log), in milliseconds. */
const terminalInterval = 100;
const logInterval = 5000;
const barWidth = 24;
const eraseLine = "\r\u001b[K";

/** Progress on a stream; work that is over within a second shows nothing. `now` gives milliseconds that only ever rise. */
export function progressOn(stream: ProgressStream, now: () => number): Progress {
  return {
    async during(label, work) {
      const start = now();
      let next = start + quietTime;
      let shown = false;
      const report: Report = (done, total, what) => {
        const time = now();
        if (time < next) return;
        const line = progressLine(what === undefined ? label : `${label}: ${what}`, done, total, time - start);
        if (stream.isTTY) {
          stream.write(eraseLine + line.slice(0, (stream.columns ?? 80) - 1));
          next = time + terminalInterval;
        } else {
          stream.write(`${line}\n`);
          next = time + logInterval;
        }
        shown = true;
      };
      try {
        return await work(report);
      } finally {
        if (shown && stream.isTTY) stream.write(eraseLine);
      }
    },
  };
}

/** One line: label, bar, per cent and the time it has taken; without a usable total only the label and the time. */
function progressLine(label: string, done: number, total: number, elapsed: number): string {
  const seconds = `${(elapsed / 1000).toFixed(0)} s`;
  if (!(total > 0)) return `${label}  ${seconds}`;
  const part = Math.min(1, Math.max(0, done / total));
  const filled = Math.round(part * barWidth);
  return `${label}  ${"=".repeat(filled)}${".".repeat(barWidth - filled)}  ${Math.floor(part * 100)} %  ${seconds}`;
}
