/** What the mean time between failures of a synchroniser follows from. Times in seconds, rates a second. */
export interface MeanTimeInput {
  /** From the clock's edge, or from the end of the delay to the output, as `tau` and `t0` are meant, to the next capture. */
  readonly settling: number;
  readonly tau: number;
  readonly t0: number;
  readonly clockRate: number;
  /** Changes of the input. */
  readonly changeRate: number;
}

/**
 * The common logarithm of the mean time between failures in seconds: exp(t / tau) / (T0 f a), after Chaney and Wakerly. As a
 * logarithm, because the time itself soon has more digits than a number can.
 */
export function meanTimeLog({ settling, tau, t0, clockRate, changeRate }: MeanTimeInput): number {
  return settling / tau / Math.LN10 - Math.log10(t0 * clockRate * changeRate);
}

const SECONDS_A_YEAR = 365.25 * 86_400;
const UNITS = [
  { name: "years", seconds: SECONDS_A_YEAR },
  { name: "days", seconds: 86_400 },
  { name: "hours", seconds: 3600 },
  { name: "minutes", seconds: 60 },
  { name: "seconds", seconds: 1 },
] as const;
/** Powers of ten from which on a number is told as one. */
const LARGE = 6;

/** `20 days`, `480 years`, `10^34 years`, `less than a second`. */
export function meanTimeText(log: number): string {
  const years = log - Math.log10(SECONDS_A_YEAR);
  if (years >= LARGE) return `10^${Math.floor(years)} years`;
  const seconds = 10 ** log;
  const unit = UNITS.find((one) => seconds >= one.seconds);
  if (!unit) return "less than a second";
  const amount = Number((seconds / unit.seconds).toPrecision(2));
  return `${amount.toLocaleString("en")} ${amount === 1 ? unit.name.slice(0, -1) : unit.name}`;
}
