import type { ELK as Elk, ElkExtendedEdge, ElkNode } from "elkjs/lib/elk-api.js";

/** Where a line may come to a box, in px from the box's upper left corner. */
export interface Port {
  readonly id: string;
  readonly side: "left" | "right";
  readonly y: number;
}

export interface Box {
  readonly id: string;
  readonly width: number;
  readonly height: number;
  readonly ports: readonly Port[];
}

/** A line from a port to another. Lines that share a port are drawn as one net. */
export interface Line {
  readonly id: string;
  readonly from: string;
  readonly to: string;
}

export type Point = readonly [x: number, y: number];

export interface Layout {
  readonly width: number;
  readonly height: number;
  /** Upper left corners by id. */
  readonly boxes: ReadonlyMap<string, Point>;
  /** By id: corners from end to end, and where other lines of the net branch off. */
  readonly lines: ReadonlyMap<string, { readonly points: readonly Point[]; readonly junctions: readonly Point[] }>;
}

export interface Spacing {
  /** Width over height to aim at. */
  readonly aspect: number;
  /** Between boxes one above the other, in px. */
  readonly boxes: number;
  /** Between columns of boxes, in px. */
  readonly columns: number;
  /** Goes on in a second row where the first would be too long. */
  readonly wraps?: boolean;
}

let elk: Promise<Elk> | undefined;

/** The layout library is large: whoever never draws a diagram never loads it. */
function library(): Promise<Elk> {
  elk ??= import("elkjs/lib/elk.bundled.js").then(({ default: bundled }) => {
    const Constructor = ("default" in bundled ? bundled.default : bundled) as unknown as new () => Elk;
    return new Constructor();
  });
  return elk;
}

/** Puts boxes into columns so that lines run from left to right, with bends at right angles. The same every time. */
export async function layered(boxes: readonly Box[], lines: readonly Line[], spacing: Spacing): Promise<Layout> {
  const graph: ElkNode = {
    id: "sheet",
    layoutOptions: {
      "elk.algorithm": "layered",
      "elk.direction": "RIGHT",
      "elk.randomSeed": "1",
      "elk.edgeRouting": "ORTHOGONAL",
      "elk.aspectRatio": String(spacing.aspect),
      "elk.padding": "[top=2,left=2,bottom=2,right=2]",
      "elk.spacing.nodeNode": String(spacing.boxes),
      "elk.spacing.componentComponent": String(spacing.boxes),
      "elk.spacing.edgeNode": "10",
      "elk.spacing.edgeEdge": "9",
      "elk.layered.spacing.nodeNodeBetweenLayers": String(spacing.columns),
      "elk.layered.spacing.edgeNodeBetweenLayers": "12",
      "elk.layered.spacing.edgeEdgeBetweenLayers": "8",
      "elk.layered.nodePlacement.strategy": "NETWORK_SIMPLEX",
      "elk.layered.nodePlacement.favorStraightEdges": "true",
      "elk.layered.considerModelOrder.strategy": "PREFER_NODES",
      ...(spacing.wraps && { "elk.layered.wrapping.strategy": "MULTI_EDGE" }),
    },
    children: boxes.map(({ id, width, height, ports }) => ({
      id,
      width,
      height,
      layoutOptions: { "elk.portConstraints": "FIXED_POS" },
      ports: ports.map((port) => ({
        id: port.id,
        width: 0,
        height: 0,
        x: port.side === "left" ? 0 : width,
        y: port.y,
        layoutOptions: { "elk.port.side": port.side === "left" ? "WEST" : "EAST" },
      })),
    })),
    edges: lines.map(({ id, from, to }) => ({ id, sources: [from], targets: [to] })),
  };
  const laidOut = await (await library()).layout(graph);
  return {
    width: laidOut.width ?? 0,
    height: laidOut.height ?? 0,
    boxes: new Map((laidOut.children ?? []).map(({ id, x = 0, y = 0 }) => [id, [x, y]])),
    lines: new Map((laidOut.edges ?? []).map((edge) => [edge.id, route(edge)])),
  };
}

function route({ sections = [], junctionPoints = [] }: ElkExtendedEdge) {
  const point = ({ x, y }: { x: number; y: number }): Point => [x, y];
  return {
    points: sections.flatMap(({ startPoint, bendPoints = [], endPoint }) =>
      [startPoint, ...bendPoints, endPoint].map(point),
    ),
    junctions: junctionPoints.map(point),
  };
}
