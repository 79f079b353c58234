import type { MeasuredDelay, Part } from "../parts/index.js";
import type { Chip, ExternalInput, NetId, PinRef, Supply } from "./circuit.js";
import * as say from "./messages.js";
import { checkNetName, railOf } from "./names.js";
import type { Span } from "./problem.js";
import type { Report } from "./report.js";
import { LIMITS } from "./limits.js";

/** A `Net` while the circuit is being put together. */
export interface GrowingNet {
  readonly id: NetId;
  readonly name: string;
  rail?: "high" | "low";
  supply?: Supply;
  readonly drivers: PinRef[];
  readonly receivers: PinRef[];
  input?: ExternalInput;
  toCome: boolean;
}

/** A `Chip` while the circuit is being put together. */
export interface GrowingChip extends Omit<Chip, "part" | "measured"> {
  part: Part;
  measured?: readonly MeasuredDelay[];
  readonly nets: Map<string, GrowingNet>;
  readonly open: Set<string>;
}

/** The nets of a circuit that is being put together. The rails `low` and `high` are always there. */
export class NetTable {
  /** Nets that a pin we know nothing about is on: too little is known to say that nothing drives or reads them. */
  readonly doubtful = new Set<string>();
  private readonly report: Report;
  private readonly list: GrowingNet[] = [];
  private readonly byName = new Map<string, GrowingNet>();
  private readonly firstSeen = new Map<string, Span>();
  /** Set once the circuit has more nets than any board: it is refused. */
  isOverfull = false;

  constructor(supplies: readonly Supply[], report: Report) {
    this.report = report;
    this.add("low").rail = "low";
    this.add("high").rail = "high";
    for (const supply of supplies) Object.assign(this.add(supply.name), { rail: "high", supply });
  }

  /** The net of a name that a pin is on; a new one where it is the first. Undefined where the name is wrong. */
  wire(name: string, at: Span): GrowingNet | undefined {
    const known = this.find(name);
    if (known) return known;
    const complaint = checkNetName(name);
    if (complaint) return this.report.add(at, complaint);
    if (this.byName.size >= LIMITS.nets) {
      if (!this.isOverfull) this.report.add(at, say.tooMany("nets", LIMITS.nets));
      this.isOverfull = true;
      return undefined;
    }
    this.firstSeen.set(name, at);
    return this.add(name);
  }

  /** The net of a name, if a pin is on it. */
  find(name: string): GrowingNet | undefined {
    return this.byName.get(railOf(name) ?? name);
  }

  /** Where the net is first named. */
  spanOf(name: string): Span | undefined {
    return this.firstSeen.get(name);
  }

  /** All nets; a net's id is its index. */
  get all(): readonly GrowingNet[] {
    return this.list;
  }

  /** The names of all nets but the rails. */
  get names(): readonly string[] {
    return this.list.filter(({ rail }) => !rail).map(({ name }) => name);
  }

  private add(name: string): GrowingNet {
    const net = { id: this.list.length as NetId, name, drivers: [], receivers: [], toCome: false };
    this.list.push(net);
    this.byName.set(name, net);
    return net;
  }
}
