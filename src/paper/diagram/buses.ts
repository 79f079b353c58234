import type { Item, ItemPin } from "./items.js";

/** So many neighbouring pins on nets that count up make a bus. */
const leastOfBus = 3;

/** Pins of one side in their order, cut into runs: those on nets of a bus that count up or down together, the others alone. */
export function runsOf(pins: readonly ItemPin[]): ItemPin[][] {
  const runs: ItemPin[][] = [];
  let step = 0;
  for (const pin of pins) {
    const run = runs.at(-1);
    const next = run && stepOf(run.at(-1), pin);
    if (run && next !== undefined && (run.length === 1 || next === step)) {
      run.push(pin);
      step = next;
    } else runs.push([pin]);
  }
  return runs.flatMap((run) => (isBus(run) ? [run] : run.map((pin) => [pin])));
}

export function isBus(run: readonly ItemPin[]): boolean {
  return run.length >= leastOfBus;
}

/**
 * The pins that are drawn as one of a bus: runs that another symbol has too, at least three nets of them, or that come from outside. The
 * inputs of a gate never are: each of them counts by itself.
 */
export function pinsInBuses(items: readonly Item[], fromOutside: ReadonlySet<string>): ReadonlySet<ItemPin> {
  const runs = items.flatMap((item) =>
    isGate(item)
      ? []
      : (["left", "right"] as const).flatMap((side) =>
          runsOf(item.pins.filter((pin) => pin.side === side))
            .filter(isBus)
            .map((pins) => ({ item, pins, nets: new Set(pins.map(netOf)) })),
        ),
  );
  const isShared = (run: (typeof runs)[number]) =>
    [...run.nets].every((net) => fromOutside.has(net)) ||
    runs.some(
      (other) => other.item !== run.item && [...run.nets].filter((net) => other.nets.has(net)).length >= leastOfBus,
    );
  return new Set(runs.filter(isShared).flatMap(({ pins }) => pins));
}

function isGate({ symbol }: Item): boolean {
  return symbol !== undefined && ["&", "≥1", "=1", "1"].includes(symbol.qualifier);
}

/** How much the net's number grows from one pin to the next; undefined where the nets are not of one bus. */
function stepOf(before: ItemPin | undefined, after: ItemPin): number | undefined {
  const parts = [before, after].map((pin) => /^(.*?)(\d+)(\D*)$/.exec(pin ? netOf(pin) : ""));
  const [one, other] = parts;
  if (!one || !other || one[1] !== other[1] || one[3] !== other[3]) return undefined;
  const step = Number(other[2]) - Number(one[2]);
  return Math.abs(step) === 1 ? step : undefined;
}

export function netOf({ use }: ItemPin): string {
  return use.kind === "net" ? use.name : "";
}
