import type { DelayRow, FigureRow } from "../../parts/index.js";
import type { FileContext } from "../file-context.js";
import type { Path } from "../value.js";
import * as say from "./messages.js";
import { COLUMNS } from "./shape.js";

/** Complains where a delay at a lower supply is shorter than the same one at a higher supply in the same table. */
export function checkSupplies(
  rows: readonly FigureRow[],
  sheetOf: (row: FigureRow) => string,
  pathOf: (delay: DelayRow) => Path | undefined,
  context: FileContext,
): void {
  const alike = new Map<string, { readonly volts: number; readonly delay: DelayRow }[]>();
  for (const row of rows) {
    for (const delay of row.delays) {
      const { from, to, changes, when, load = row.load } = delay;
      const key = JSON.stringify([sheetOf(row), from, to, changes, when, load]);
      alike.set(key, [...(alike.get(key) ?? []), { volts: row.volts, delay }]);
    }
  }
  for (const group of alike.values()) {
    const byVolts = group.sort((a, b) => a.volts - b.volts);
    byVolts.forEach((high, index) => {
      const low = byVolts[index - 1];
      if (!low || low.volts === high.volts) return;
      for (const { name, key } of COLUMNS) {
        const slow = low.delay[`max${name}`];
        const fast = high.delay[`max${name}`];
        const path = pathOf(low.delay);
        if (slow === undefined || fast === undefined || slow >= fast || !path) continue;
        context.complain([...path, key, "max"], say.lowerIsFaster(low.volts, `${slow} ns`, high.volts, `${fast} ns`));
      }
    });
  }
}
