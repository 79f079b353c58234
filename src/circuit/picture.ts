import type { NetId, PictureNets } from "./circuit.js";
import type { FileContext } from "./file-context.js";
import * as say from "./messages.js";
import { namesInValue, signalNet } from "./net-names.js";
import type { GrowingNet, NetTable } from "./nets.js";
import type { Sections } from "./sections.js";

/** What the monitor sees, as far as the file says it right. */
export interface PictureReading {
  /** Absent where the file has no picture or something of it is wrong. */
  readonly picture?: PictureNets;
  /** The nets that are named, whatever else is wrong. */
  readonly shown: ReadonlySet<GrowingNet>;
  /** False where a part of the picture is wrong or missing, so that more nets may be meant. */
  readonly isComplete: boolean;
}

/** Finds the nets that the monitor sees. */
export function readPicture({ picture }: Sections, nets: NetTable, context: FileContext): PictureReading {
  const shown = new Set<GrowingNet>();
  let isComplete = true;
  if (!picture) return { shown, isComplete: true };
  const [hsync] = named("hsync");
  const [vsync] = named("vsync");
  const [mono] = named("video");
  const [red, green, blue] = [named("red"), named("green"), named("blue")];
  const isColour = picture.red !== undefined || picture.green !== undefined || picture.blue !== undefined;
  if (picture.video !== undefined && isColour) context.complainOfKey(["picture", "video"], say.videoAndColours());
  if (picture.video === undefined && !isColour) context.complainOfKey(["picture"], say.noVideo());
  const size = picture.size === undefined ? undefined : readSize(picture.size, context);
  const video = isColour ? { kind: "colour" as const, red, green, blue } : mono && { kind: "mono" as const, net: mono };
  return size && hsync !== undefined && vsync !== undefined && video
    ? { picture: { hsync, vsync, video, ...size }, shown, isComplete }
    : { shown, isComplete: false };

  function named(key: "hsync" | "vsync" | "video" | "red" | "green" | "blue"): readonly NetId[] {
    const value = picture?.[key];
    if (value === undefined) return [];
    const path = ["picture", key];
    const { names } = namesInValue(value, path, context);
    const isColour = key === "red" || key === "green" || key === "blue";
    if (!isColour && names.length > 1) context.complain(path, say.severalNets(String(value)));
    return names.flatMap((placed) => {
      const net = signalNet(placed, "picture", nets, context);
      if (net) shown.add(net);
      else isComplete = false;
      return net ? [net.id] : [];
    });
  }
}

function readSize(text: string, context: FileContext): { width: number; height: number } | undefined {
  const match = /^\s*(\d{1,4})\s*[x×*]\s*(\d{1,4})\s*$/i.exec(text);
  const [width, height] = [Number(match?.[1] ?? 0), Number(match?.[2] ?? 0)];
  if (width > 0 && height > 0) return { width, height };
  return context.complain(["picture", "size"], say.badSize(text));
}

/** Marks the nets under `to come`. */
export function readToCome(sections: Sections, nets: NetTable, context: FileContext): readonly NetId[] {
  return namesInValue(sections.toCome, ["to come"], context).names.flatMap((placed) => {
    const net = signalNet(placed, "to come", nets, context);
    if (!net) return [];
    if (net.toCome) context.report.add(placed.span, say.netTwice(net.name, "to come"));
    net.toCome = true;
    return [net.id];
  });
}
