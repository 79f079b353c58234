import type { NetId, PictureNets } from "./circuit.js";
import type { FileContext } from "./file-context.js";
import * as say from "./messages.js";
import { namesInValue, oneSignalNet, signalNet } from "./net-names.js";
import type { NetTable } from "./nets.js";
import type { Sections } from "./sections.js";

/** Finds the nets that the monitor sees. Undefined where there is no picture or something of it is wrong. */
export function readPicture(sections: Sections, nets: NetTable, context: FileContext): PictureNets | undefined {
  const { picture } = sections;
  if (!picture) return undefined;
  const one = (key: "hsync" | "vsync" | "video") =>
    picture[key] === undefined ? undefined : oneSignalNet(picture[key], ["picture", key], "picture", nets, context)?.id;
  const size = picture.size === undefined ? undefined : readSize(picture.size, context);
  const [hsync, vsync, mono] = [one("hsync"), one("vsync"), one("video")];
  const colour = { red: listed("red"), green: listed("green"), blue: listed("blue") };
  const isColour = picture.red !== undefined || picture.green !== undefined || picture.blue !== undefined;
  if (picture.video !== undefined && isColour) context.complainOfKey(["picture", "video"], say.videoAndColours());
  if (picture.video === undefined && !isColour) context.complainOfKey(["picture"], say.noVideo());
  if (!size || hsync === undefined || vsync === undefined) return undefined;
  if (isColour) return { hsync, vsync, video: { kind: "colour", ...colour }, ...size };
  return mono === undefined ? undefined : { hsync, vsync, video: { kind: "mono", net: mono }, ...size };

  function listed(key: "red" | "green" | "blue"): readonly NetId[] {
    const value = picture?.[key];
    if (value === undefined) return [];
    const names = namesInValue(value, ["picture", key], context);
    return names.flatMap((placed) => signalNet(placed, "picture", nets, context)?.id ?? []);
  }
}

function readSize(text: string, context: FileContext): { width: number; height: number } | undefined {
  const match = /^\s*(\d{1,4})\s*[x×*]\s*(\d{1,4})\s*$/i.exec(text);
  const [width, height] = [Number(match?.[1] ?? 0), Number(match?.[2] ?? 0)];
  if (width > 0 && height > 0) return { width, height };
  return void context.complain(["picture", "size"], say.badSize(text));
}

/** Marks the nets under `to come`. */
export function readToCome(sections: Sections, nets: NetTable, context: FileContext): readonly NetId[] {
  const named = namesInValue(sections.toCome, ["to come"], context);
  return named.flatMap((placed) => {
    const net = signalNet(placed, "to come", nets, context);
    if (!net) return [];
    if (net.toCome) context.report.add(placed.span, say.netTwice(net.name, "to come"));
    net.toCome = true;
    return [net.id];
  });
}
