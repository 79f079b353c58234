import type { BringUpStep } from "../bench/index.js";

/** The steps of bringing a board up, with boxes to tick and room for what was measured. */
export function bringUpText(title: string, steps: readonly BringUpStep[]): string {
  return [
    `${title}: bringing it up`,
    "The processor rests. Switch off before you plug a chip. Go on only when all of a step is as it should be.",
    ...steps.map(stepText),
  ].join("\n\n");
}

function stepText({ number, title, plug, what, checks }: BringUpStep): string {
  return [
    `${number}. ${title}`,
    ...(plug.length > 0 ? [`   Plug in ${plug.join(", ")}.`] : []),
    `   ${what.charAt(0).toUpperCase()}${what.slice(1)}`,
    ...checks.flatMap(({ at, net, instrument, expected, tolerance, otherwise }) => [
      `   [ ] ${at}${net === "" ? "" : ` (${net})`}, ${instrument}: ${expected}; within ${tolerance}. Found: ________`,
      `       Otherwise: ${otherwise}`,
    ]),
  ].join("\n");
}
