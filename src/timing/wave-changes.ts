import { IntTable } from "./int-table.js";
import type { CellId } from "./model.js";
import { isEqual } from "./moments.js";
import { type Present, type Region, copyPresent } from "./state.js";
import type { PresentId, StateBook } from "./state-book.js";
import type { FedPart } from "./step.js";

/** Names a change of a wave. */
export type RegionName = Pick<Region, "born" | "order">;

/** A wave whose change has just begun, or is about to end, and what the components after this one are told of it. */
export interface Turned {
  readonly after: PresentId;
  readonly region: Region;
  readonly fed: FedPart;
}

/** A wave of another component after what it was told. */
export interface Taken {
  readonly after: PresentId;
  readonly region: Region;
  /** Whether a change that is under way has got more causes. */
  readonly grows: boolean;
}

/**
 * What becomes of the present of waves when one of their changes begins, ends, or comes from another component: worked out
 * once. What is past does not change any more.
 */
export class WaveChanges {
  readonly #book: StateBook;
  readonly #cellCount: number;
  readonly #opened = new Once<Turned | undefined>();
  readonly #closing = new Once<Turned | undefined>();
  readonly #closed = new Once<PresentId>();
  readonly #taken = new Once<Taken>();

  constructor(book: StateBook, cellCount: number) {
    this.#book = book;
    this.#cellCount = cellCount;
  }

  /** Undefined where there is no such change or it has begun already. */
  open(id: PresentId, name: RegionName, cell: CellId): Turned | undefined {
    return this.#opened.get(id, this.#numberAt(cell, name), () => {
      const present = this.#copy(id);
      const region = regionOf(present, name);
      if (!region || region.opened) return undefined;
      region.opened = true;
      const fed = this.#book.fed("open", cell, region);
      return { after: this.#book.presentId(present), region, fed };
    });
  }

  /** The wave as it is; undefined where there is no such change or it is over already. */
  close(id: PresentId, name: RegionName, cell: CellId): Turned | undefined {
    return this.#closing.get(id, this.#numberAt(cell, name), () => {
      const region = regionOf(this.#book.presentNumbered(id), name);
      return region && !region.closed ? { after: id, region, fed: this.#book.fed("close", cell, region) } : undefined;
    });
  }

  /** The wave once the change is over. */
  closed(id: PresentId, name: RegionName): PresentId {
    return this.#closed.get(id, numberOf(name), () => {
      const present = this.#copy(id);
      const region = regionOf(present, name);
      if (region) region.closed = true;
      return this.#book.presentId(present);
    });
  }

  /** Brings a wave of a component before this one up to date. */
  take(id: PresentId, { id: fedId, region }: FedPart): Taken {
    return this.#taken.get(id, fedId, () => {
      const present = this.#copy(id);
      let own = regionOf(present, region);
      const hasGrown = own !== undefined && (own.to !== region.to || !isEqual(own.early, region.early));
      if (!own) {
        own = { ...region };
        present.regions.push(own);
      }
      Object.assign(own, { ...region, early: [...region.early], late: [...region.late], closed: own.closed });
      if (own === present.regions.at(-1)) present.level = own.to;
      return { after: this.#book.presentId(present), region: own, grows: hasGrown && own.opened && !own.closed };
    });
  }

  /** Two cells may be in one state, but what is told of them names the cell. */
  #numberAt(cell: CellId, name: RegionName): number {
    return numberOf(name) * this.#cellCount + cell;
  }

  #copy(id: PresentId): Present {
    return copyPresent(this.#book.presentNumbered(id));
  }
}

/** The change of that name. */
export function regionOf({ regions }: Pick<Present, "regions">, { born, order }: RegionName): Region | undefined {
  return regions.find((region) => region.born === born && region.order === order);
}

const MOST_ORDERS = 1024;

function numberOf({ born, order }: RegionName): number {
  return order - MOST_ORDERS * born;
}

/** What is found out once for each pair of integers. */
class Once<T> {
  readonly #numbers = new IntTable();
  readonly #all: T[] = [];

  get(first: number, second: number, find: () => T): T {
    const known = this.#numbers.get(first, second);
    if (known >= 0) return this.#all[known] as T;
    const found = find();
    this.#numbers.add(first, second, this.#all.push(found) - 1);
    return found;
  }
}
