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

/** A record to fill in at the bench: what to measure, what to expect, and room for what was read. */
export function bringUpSection(
  circuit: Circuit,
  electrical: ElectricalFindings | undefined,
  seen: Shown | NoPicture | undefined,
): Markup {
  const rows = readings(circuit, seen).map(
    ({ what, expected }) =>
      markup`<tr><td><input type="checkbox" aria-label="${what}: done"></td><td>${what}</td><td>${expected}</td><td><div class="blank"></div></td></tr>\n`,
  );
  const draws = electrical?.advice.find(({ subject }) => subject === "supply current")?.text;
  return section({
    id: "bring-up",
    heading: "Bringing it up",
    notes: markup`<p>One line after the other. Where a reading is not what is expected, look there before you go on.</p>`,
    content: markup`${draws !== undefined && markup`<p>${draws}</p>\n`}<table class="own">
<thead><tr><th scope="col">done</th><th scope="col">measure</th><th scope="col">expect</th><th scope="col">measured</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
<h3>Board, date, and what else was seen</h3>
${Array.from({ length: 6 }, () => markup`<div class="ruled"></div>\n`)}`,
  });
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
