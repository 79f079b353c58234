import type { Depth } from "./picture.js";
import type { Waveform } from "./waveform.js";

/** The video nets of one monitor: one, or lists for each colour with the most significant bit first. */
export type VideoNets =
  | { readonly kind: "mono"; readonly net: Waveform }
  | {
      readonly kind: "colour";
      readonly red: readonly Waveform[];
      readonly green: readonly Waveform[];
      readonly blue: readonly Waveform[];
    };

/** All video nets in the order of the bits of a dot, most significant first. */
export function listVideo(video: VideoNets): readonly Waveform[] {
  return video.kind === "mono" ? [video.net] : [...video.red, ...video.green, ...video.blue];
}

export function depthOf(video: VideoNets): Depth {
  if (video.kind === "mono") return { kind: "mono" };
  return { kind: "colour", red: video.red.length, green: video.green.length, blue: video.blue.length };
}
