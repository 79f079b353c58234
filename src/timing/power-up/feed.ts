import type { SeenChange } from "./lane-unit.js";
import type { LogicNetId } from "./logic-view.js";

/** What some nets do in one oscillator period at rest: their levels before it, and their changes after each of its edges. */
export interface Feed {
  readonly levels: ReadonlyMap<LogicNetId, 0 | 1>;
  readonly halves: readonly [readonly SeenChange[], readonly SeenChange[]];
}

/** Gives each different feed a number. */
export class FeedBook {
  readonly all: Feed[] = [];
  readonly #ids = new Map<string, number>();

  id(feed: Feed): number {
    const key = keyOf(feed);
    const known = this.#ids.get(key);
    if (known !== undefined) return known;
    const id = this.all.push(feed) - 1;
    this.#ids.set(key, id);
    return id;
  }

  feed(id: number): Feed {
    const feed = this.all[id];
    if (!feed) throw new RangeError(`no feed ${id}`);
    return feed;
  }
}

/** The oscillator's own period: it rises, and falls when all is at rest. */
export function oscillatorFeed(nets: readonly LogicNetId[]): Feed {
  const edge = (level: 0 | 1) => nets.map((net): SeenChange => ({ time: 0, net, level }));
  return { levels: new Map(nets.map((net) => [net, 0] as const)), halves: [edge(1), edge(0)] };
}

/** What a feed says of some nets. */
export function restricted({ levels, halves: [first, second] }: Feed, nets: ReadonlySet<LogicNetId>): Feed {
  const only = (changes: readonly SeenChange[]) => changes.filter(({ net }) => nets.has(net));
  return {
    levels: new Map([...levels].filter(([net]) => nets.has(net))),
    halves: [only(first), only(second)],
  };
}

/** Feeds of different nets as one. */
export function joined(feeds: readonly Feed[]): Feed {
  const half = (which: 0 | 1) =>
    feeds.flatMap(({ halves }) => halves[which]).sort((a, b) => a.time - b.time || a.net - b.net);
  return { levels: new Map(feeds.flatMap(({ levels }) => [...levels])), halves: [half(0), half(1)] };
}

function keyOf({ levels, halves }: Feed): string {
  let key = "";
  for (const [net, level] of levels) key += `${net}${level === 1 ? "+" : "-"}`;
  for (const changes of halves) {
    key += "/";
    for (const { time, net, level } of changes) key += `${time}:${net}${level === 1 ? "+" : "-"}`;
  }
  return key;
}
