import type { Edge } from "../parts/index.js";
import { HIGH, LOW, asRead } from "./level-set.js";
import type { PinModel } from "./model.js";
import type { Member, Region } from "./state.js";

/** A change of a net as it is seen at a pin of one chip. */
interface InputChange {
  readonly pin: Pick<PinModel, "slot">;
  readonly region: Pick<Region, "born" | "order">;
}

/** Whether a member of an output's change, a change of a storage bit or a capture's note is of this input change. */
export function isOf(one: Pick<Member, "slot" | "born" | "order">, { pin, region }: InputChange): boolean {
  return one.slot === pin.slot && one.born === region.born && one.order === region.order;
}

/** The edges that a region may hold as a logic input sees it. */
export function edgesOf(region: Region): Edge[] {
  const from = asRead(region.from);
  const to = asRead(region.to);
  if (!region.clean) return ["rise", "fall"];
  const edges: Edge[] = [];
  if (from & LOW && to & HIGH) edges.push("rise");
  if (from & HIGH && to & LOW) edges.push("fall");
  return edges;
}
