import type { BringUpStep } from "../../bench/index.js";
import type { Circuit } from "../../circuit/index.js";
import type { ElectricalFindings } from "../../electrical/index.js";
import type { NoPicture, Shown } from "../../raster/index.js";
import { type Markup, markup } from "../markup.js";
import { section } from "../page.js";

/** What is measured when the board gets its supply, in this order. */
interface Reading {
  readonly what: string;
  readonly expected: string;
}

/**
 * A record to fill in at the bench: what to measure, what to expect, and room for what was read. Step by step with the chips to plug
 * where the steps have been worked out, else what every board of the kind has.
 */
export function bringUpSection(
  circuit: Circuit,
  steps: readonly BringUpStep[] | undefined,
  electrical: ElectricalFindings | undefined,
  seen: Shown | NoPicture | undefined,
): Markup {
  const draws = electrical?.advice.find(({ subject }) => subject === "supply current")?.text;
  return section({
    id: "bring-up",
    heading: "Bringing it up",
    notes: markup`<p>One line after the other. Where a reading is not what is expected, look there before you go on.</p>`,
    content: markup`${draws !== undefined && markup`<p>${draws}</p>\n`}<p>Board, date, and what else was seen:</p>
${Array.from({ length: 3 }, () => markup`<div class="ruled"></div>\n`)}${steps ? steps.map(stepRecord) : record(circuit, seen)}`,
  });
}

function record(circuit: Circuit, seen: Shown | NoPicture | undefined): Markup {
  const rows = readings(circuit, seen).map(
    ({ what, expected }) =>
      markup`<tr><td><input type="checkbox" aria-label="${what}: done"></td><td>${what}</td><td>${expected}</td><td><div class="blank"></div></td></tr>\n`,
  );
  return table("measure", rows);
}

/** One step: the chips to plug, and a line for each reading with what is likely wrong if it differs. */
function stepRecord({ number, title, plug, what, checks }: BringUpStep): Markup {
  const rows = checks.map(
    ({ at, net, instrument, expected, tolerance, otherwise }) =>
      markup`<tr><td><input type="checkbox" aria-label="${at}: done"></td><td><span class="mono">${at}</span>${net !== "" && markup` <span class="quiet mono">${net}</span>`}, ${instrument}</td><td>${expected}${tolerated(tolerance)}<br><span class="quiet">Otherwise: ${otherwise}</span></td><td><div class="blank"></div></td></tr>\n`,
  );
  return markup`<h3>${number}. ${title}</h3>
<p>${plug.length > 0 && `Plug in ${plug.join(", ")}. `}${what.charAt(0).toUpperCase()}${what.slice(1)}</p>
${rows.length > 0 && table("at", rows)}`;
}

/** `within 0.01 %` where a tolerance is a figure, else its words; nothing where what is expected says it already. */
function tolerated(tolerance: string): string {
  if (tolerance === "as given") return "";
  return /^\d/.test(tolerance) ? `, within ${tolerance}` : `: ${tolerance}`;
}

function table(place: string, rows: readonly Markup[]): Markup {
  return markup`<table class="own">
<thead><tr><th scope="col">done</th><th scope="col">${place}</th><th scope="col">expect</th><th scope="col">measured</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}

function readings(circuit: Circuit, seen: Shown | NoPicture | undefined): Reading[] {
  const resets = circuit.inputs.flatMap(({ net, timing }) =>
    timing.kind === "power-up only" ? [{ name: circuit.nets[net]?.name ?? "", active: timing.active }] : [],
  );
  return [
    {
      what: "Resistance between each rail and 0 V, supply off, no chips in",
      expected: "no short: more than 100 ohm (common practice)",
    },
    ...circuit.supplies.map(({ name, volts }) => ({
      what: `Supply ${name === "main" ? "" : `${name} `}at the sockets furthest away, no chips in`,
      expected: `${volts.min} to ${volts.max} V`,
    })),
    { what: "Supply current, all chips in", expected: "below the current limit, and no chip too hot to touch" },
    ...circuit.supplies.map(({ name, volts }) => ({
      what: `Supply ${name === "main" ? "" : `${name} `}at each chip, all chips in`,
      expected: `${volts.min} to ${volts.max} V`,
    })),
    ...circuit.chips.flatMap(({ ref, part, nets }) => {
      const net = nets.get(part.behaviour.clockSource?.pin ?? "");
      if (!part.oscillation || !net) return [];
      return [{ what: `Frequency of ${net.name} at ${ref}`, expected: frequencies(part.oscillation) }];
    }),
    ...resets.map(({ name, active }) => ({
      what: `Level of ${name} a second after power-up`,
      expected: active === "low" ? "high: let go" : "low: let go",
    })),
    ...(seen?.locked
      ? [
          { what: "Line rate at the monitor's socket", expected: `${(seen.lock.lineRateHz / 1000).toFixed(3)} kHz` },
          { what: "Frame rate at the monitor's socket", expected: `${seen.lock.fieldRateHz.toFixed(2)} Hz` },
          { what: "Picture, the monitor connected last", expected: "as this book shows it" },
        ]
      : []),
  ];
}

/** From the least to the greatest frequency of a can, in MHz. */
function frequencies({ period }: { period: { min: number; max: number } }): string {
  const megahertz = (femtoseconds: number) => (1e9 / femtoseconds).toFixed(4);
  return `${megahertz(period.max)} to ${megahertz(period.min)} MHz`;
}
