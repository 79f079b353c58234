import type { Circuit } from "../../circuit/index.js";
import { pinsInBuses } from "./buses.js";
import type { Item, ItemPin } from "./items.js";

/** One pin or leg that a net has. */
export interface NetEnd {
  readonly sheet: number;
  readonly item: Item;
  readonly pin: ItemPin;
  readonly drives: boolean;
  readonly receives: boolean;
  /** Drawn as one of a bus. */
  readonly isInBus: boolean;
}

/** A net joins at most so many pins of a sheet by lines; more are joined by its name, as clocks are. */
const mostJoined = 6;

/** Where each net has its pins, sheet by sheet, and so what has to be said where a pin's line ends. */
export class NetEnds {
  readonly #ends = new Map<string, NetEnd[]>();
  readonly #inBuses: ReadonlySet<ItemPin>;
  readonly #fromOutside: ReadonlySet<string>;
  readonly #toMonitor: ReadonlySet<string>;

  /** The items of each sheet; sheets count from 1. */
  constructor(circuit: Circuit, sheets: readonly (readonly Item[])[]) {
    this.#fromOutside = new Set(
      circuit.nets.filter(({ input, drivers }) => input && drivers.length === 0).map(({ name }) => name),
    );
    this.#inBuses = pinsInBuses(sheets.flat(), this.#fromOutside);
    sheets.forEach((items, i) => {
      for (const item of items) {
        for (const pin of item.pins) {
          if (pin.use.kind !== "net") continue;
          const { name, drives, receives } = pin.use;
          const end = { sheet: i + 1, item, pin, drives, receives, isInBus: this.#inBuses.has(pin) };
          const ends = this.#ends.get(name);
          if (ends) ends.push(end);
          else this.#ends.set(name, [end]);
        }
      }
    });
    const { picture } = circuit;
    const video = picture?.video;
    const shown = video?.kind === "mono" ? [video.net] : video ? [...video.red, ...video.green, ...video.blue] : [];
    const ids = picture ? [picture.hsync, picture.vsync, ...shown] : [];
    const pictureNets = new Set(ids.flatMap((id) => circuit.nets[id]?.name ?? []));
    const behind = circuit.passives.flatMap(({ nets }) =>
      nets.some((net) => pictureNets.has(net)) ? nets.filter((net) => net !== "high" && net !== "low") : [],
    );
    this.#toMonitor = new Set([...pictureNets, ...behind]);
  }

  /** Whether a pin is drawn as one of a bus. */
  isInBus(pin: ItemPin): boolean {
    return this.#inBuses.has(pin);
  }

  onSheet(net: string, sheet: number): readonly NetEnd[] {
    return (this.#ends.get(net) ?? []).filter((end) => end.sheet === sheet);
  }

  /** Whether the net's pins on a sheet are joined by lines: few enough, with one that the others get their level from. */
  isJoined(net: string, sheet: number): boolean {
    const here = this.onSheet(net, sheet).filter(({ isInBus }) => !isInBus);
    const isSource = here.some(({ drives, item }) => drives || item.passive !== undefined);
    return here.length > 1 && here.length <= mostJoined && isSource;
  }

  /** Where the rest of a pin's net is: `to 3, 5`, `from 2`, `with 4`, `from outside`, `here`; empty where nothing is elsewhere. */
  reference(net: string, sheet: number, pin: ItemPin, isJoined: boolean): string {
    const ends = this.#ends.get(net) ?? [];
    const elsewhere = ends.filter((end) => end.sheet !== sheet);
    const drives = pin.use.kind === "net" && pin.use.drives;
    const drivers = ends.filter((end) => end.drives);
    const sources = elsewhere.filter((end) => end.drives || end.item.passive !== undefined);
    if (drivers.length > 1 && elsewhere.length > 0) return `with ${numbers(elsewhere)}`;
    if (drives) {
      if (elsewhere.length > 0) return `to ${numbers(elsewhere)}`;
      return ends.length === 1 ? this.#outwards(net) : "";
    }
    if (this.#fromOutside.has(net)) return "from outside";
    if (sources.length > 0 && !isJoined) return `from ${numbers(sources)}`;
    if (sources.length > 0) return `with ${numbers(sources)}`;
    if (isJoined) return "";
    if (ends.length === 1) return this.#outwards(net);
    return ends.some((end) => end.sheet === sheet && end.pin !== pin) ? "here" : `with ${numbers(elsewhere)}`;
  }

  #outwards(net: string): string {
    return this.#toMonitor.has(net) ? "to the monitor" : "to outside";
  }
}

function numbers(ends: readonly NetEnd[]): string {
  return [...new Set(ends.map(({ sheet }) => sheet))].sort((a, b) => a - b).join(", ");
}
