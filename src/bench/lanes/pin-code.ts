import type { Expression } from "../../parts/index.js";
import type { FunctionCode } from "../../simulation/compiled/wasm-writer.js";
import type { PinId } from "../board/board.js";
import type { Group } from "./group.js";
import { LANES, type LaneMask, hasLane, noLanes, setLane } from "./lane-mask.js";
import { NODE_BYTES, NodePart, type Places } from "./places.js";

/** Writes code that reads pins as they are joined in every lane. */
export class PinReader {
  private readonly group: Group;
  private readonly places: Places;
  /** Where the nodes stand. */
  readonly nodes: number;

  constructor(group: Group, places: Places, nodes: number) {
    this.group = group;
    this.places = places;
    this.nodes = nodes;
  }

  /** Puts the level that a pin sees on the stack. */
  read(code: FunctionCode, pin: PinId): void {
    const { board, placements, inverted } = this.group;
    const node = (id: number) => code.constant(0).loadVector(this.nodes + id * NODE_BYTES + NodePart.value);
    const usual = board.pins[pin]?.node ?? 0;
    const elsewhere = placements.get(pin) ?? [];
    for (const place of elsewhere) node(place.node);
    node(usual);
    for (const place of [...elsewhere].reverse()) {
      this.mask(code, place.lanes);
      code.vector("choose");
    }
    const turned = inverted.get(pin);
    if (turned) {
      this.mask(code, turned);
      code.vector("xor");
    }
  }

  /** Lanes in which two pins are on one node that is no rail: they change together. */
  together(one: PinId, other: PinId): LaneMask {
    const { circuit, low, high } = this.group.board;
    const [first, second] = [this.nodesByLane(one), this.nodesByLane(other)];
    const mask = noLanes();
    first.forEach((node, lane) => {
      const isRail = node === low || node === high || circuit.nets[node]?.rail !== undefined;
      if (node === second[lane] && !isRail) setLane(mask, lane);
    });
    return mask;
  }

  private nodesByLane(pin: PinId): readonly number[] {
    const { board, placements } = this.group;
    const nodes = Array.from({ length: LANES }, () => board.pins[pin]?.node ?? 0);
    for (const { node, lanes } of placements.get(pin) ?? []) {
      nodes.forEach((_, lane) => {
        if (hasLane(lanes, lane)) nodes[lane] = node;
      });
    }
    return nodes;
  }

  /** Puts a mask of lanes on the stack. */
  mask(code: FunctionCode, mask: LaneMask): void {
    const address = this.places.mask(mask);
    if (address === undefined) code.vectorConstant(1);
    else code.constant(0).loadVector(address);
  }
}

/** Puts the value of an expression on the stack, given what puts that of a name there. */
export function writeExpression(code: FunctionCode, expression: Expression, name: (name: string) => void): void {
  const write = (one: Expression): void => {
    switch (one.kind) {
      case "constant":
        code.vectorConstant(one.value);
        return;
      case "name":
        return name(one.name);
      case "not":
        write(one.of);
        code.vector("not");
        return;
      case "and":
      case "or":
      case "xor":
        write(one.left);
        write(one.right);
        code.vector(one.kind);
        return;
      case "choose":
        write(one.then);
        write(one.otherwise);
        write(one.when);
        code.vector("choose");
        return;
    }
  };
  write(expression);
}
