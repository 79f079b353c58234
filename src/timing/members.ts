import type { Edge } from "../parts/index.js";
import type { Open } from "./chip-view.js";
import { HIGH, LOW, asRead } from "./level-set.js";
import type { Member, Region, StorageChange } from "./state.js";

/** Whether a member of an output's change is this input change. */
export function isOf(member: Member, { pin, region }: Open): boolean {
  return member.slot === pin.slot && member.born === region.born && member.order === region.order;
}

/** Whether a storage bit changes with this input change. */
export function isCause(change: StorageChange, { pin, region }: Open): boolean {
  return change.slot === pin.slot && change.born === region.born && change.order === region.order;
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
