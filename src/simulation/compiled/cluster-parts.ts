import { type Expression, type Storage, namesIn } from "../../parts/index.js";
import { overridden } from "../compile-tables.js";
import type { Cluster, Signal, Structure } from "./structure.js";

/** A storage bit with what its chip's expressions make of it. */
export interface Member {
  readonly signal: Signal;
  readonly storage: Storage;
  /** What it takes when its clock rises; absent on latches. */
  readonly edge?: Expression;
  /** What it takes without a clock; absent where it only keeps its level. */
  readonly level?: Expression;
  /** Whether its clock reads bits of the chip. */
  readonly hasInnerClock: boolean;
}

/** A cluster's bits, and the nets that they read. */
export interface ClusterParts {
  readonly members: readonly Member[];
  /** Nets that act by their edges or their level: clocks, enables, whatever clears or presets. */
  readonly strobes: readonly Signal[];
  /** Nets whose level is taken; some may be strobes too. */
  readonly data: readonly Signal[];
}

const known = new WeakMap<Cluster, ClusterParts>();

/** The parts of a cluster; worked out once. */
export function clusterParts({ bits, signalOf }: Structure, cluster: Cluster): ClusterParts {
  const found = known.get(cluster);
  if (found) return found;
  const own = new Set(cluster.bits.map((bit) => bits[bit]?.signal));
  const members = cluster.bits.flatMap((index) => {
    const bit = bits[index];
    return bit ? [memberOf(bit.signal, bit.storage, (name) => own.has(signalOf(cluster.chip, name)))] : [];
  });
  const nets = (expressions: readonly Expression[]) =>
    [...new Set(expressions.flatMap(namesIn).map((name) => signalOf(cluster.chip, name)))].filter(
      (signal) => !own.has(signal),
    );
  const parts = {
    members,
    strobes: nets(members.flatMap(({ storage }) => strobesIn(storage))),
    data: nets(members.flatMap(({ storage }) => [storage.next, ...storage.overrides.map(({ value }) => value)])),
  };
  known.set(cluster, parts);
  return parts;
}

function memberOf(signal: Signal, storage: Storage, isOwn: (name: string) => boolean): Member {
  const self: Expression = { kind: "name", name: storage.name };
  if (storage.kind === "latch") {
    const follow: Expression = { kind: "choose", when: storage.open, then: storage.next, otherwise: self };
    return { signal, storage, level: overridden(storage, follow), hasInnerClock: false };
  }
  return {
    signal,
    storage,
    edge: overridden(storage, storage.next),
    ...(storage.overrides.length > 0 && { level: overridden(storage, self) }),
    hasInnerClock: namesIn(storage.clock).some(isOwn),
  };
}

/** What acts on a storage bit by its level: the enable of a latch, overrides. */
export function levelStrobesIn(storage: Storage): readonly Expression[] {
  const whens = storage.overrides.map(({ when }) => when);
  return storage.kind === "latch" ? [storage.open, ...whens] : whens;
}

/** What acts on a storage bit by its edges or by its level. */
function strobesIn(storage: Storage): readonly Expression[] {
  const acting = storage.kind === "register" ? storage.clock : storage.open;
  return [acting, ...storage.overrides.map(({ when }) => when)];
}
