import * as z from "zod";
import file from "#data/electrical/preferred-values.json" with { type: "json" };

const names = z.literal(["E12", "E24", "E96"]);

const { series: table, source } = z
  .strictObject({
    about: z.string(),
    source: z.strictObject({
      publisher: z.string(),
      document: z.string(),
      title: z.string(),
      fromMemory: z.boolean(),
      checked: z.string(),
    }),
    series: z.array(z.strictObject({ series: names, tolerancePercent: z.number(), values: z.array(z.int()) })),
  })
  .parse(file);

/** A series of preferred values: twelve, twenty-four or ninety-six a decade. */
export type Series = z.infer<typeof names>;

/** Where the values were read. */
export const preferredValuesSource = `${source.publisher}, ${source.document}`;

/** The tolerance that goes with a series, 0 to 1. A shop may sell its values closer than that. */
export function toleranceOf(series: Series): number {
  return rowOf(series).tolerancePercent / 100;
}

/** Every value of a series from `least` to `most`, both included, ascending. For ohms: 10 and more are written out in full. */
export function preferredValues(series: Series, least: number, most: number): readonly number[] {
  const { values } = rowOf(series);
  const [first = 10] = values;
  const found: number[] = [];
  for (let power = Math.floor(Math.log10(least)); power <= Math.log10(most); power++) {
    for (const value of values) {
      // A quotient or product with a power of ten is the double nearest to the decimal number.
      const shift = power - Math.round(Math.log10(first));
      const scaled = shift < 0 ? value / 10 ** -shift : value * 10 ** shift;
      if (scaled >= least && scaled <= most) found.push(scaled);
    }
  }
  return found;
}

/** The narrowest-stepped series that a value is not needed from: the first of E12, E24, E96 that has it. */
export function seriesWith(value: number): Series | undefined {
  return table.find(({ series }) => preferredValues(series, value * 0.999, value * 1.001).includes(value))?.series;
}

function rowOf(series: Series) {
  const row = table.find((one) => one.series === series);
  if (!row) throw new RangeError(`no series ${series}`);
  return row;
}
