import { type Fs, fs } from "../quantity/index.js";
import type { Contention, Contentions } from "./contention.js";
import type { BoardFault } from "./random-board.js";

/** Of each two outputs that drove one net at once for longer than is allowed: how long at most. */
export function longestFights({ ended }: Contentions, allowed: Fs): readonly BoardFault[] {
  const found = new Map<string, Contention[]>();
  for (const fight of ended) {
    if (lasted(fight) <= allowed) continue;
    const place = `${fight.net.name}: contention of ${[...fight.pins].sort().join(" and ")}`;
    found.set(place, [...(found.get(place) ?? []), fight]);
  }
  return [...found].flatMap(([place, fights]): BoardFault[] => {
    const [first] = fights;
    if (!first) return [];
    const longest = fights.reduce((a, b) => (lasted(b) > lasted(a) ? b : a));
    return [
      {
        place,
        required: fs(-allowed),
        actual: fs(-lasted(longest)),
        firstAt: fs(first.from),
        worstAt: fs(longest.from),
        count: fights.length,
        nets: [first.net.name],
      },
    ];
  });
}

function lasted({ from, to }: Contention): number {
  return (to ?? from) - from;
}
