import { type Picture, blackPicture } from "./picture.js";
import type { Displacement, Scan } from "./scan.js";
import { type VideoNets, depthOf, listVideo } from "./video.js";
import { forEachHigh } from "./waveform.js";

/** Takes the level of every net at the middle of every active dot of one frame, displaced as the picture is. */
export function samplePicture(scan: Scan, video: VideoNets, displacement: Displacement): Picture {
  const { dotFs, firstDot, raster } = scan;
  const picture = blackPicture(raster.h.active, raster.v.active, depthOf(video));
  const { dots, width, height } = picture;
  const nets = listVideo(video);
  nets.forEach((net, index) => {
    const weight = 1 << (nets.length - 1 - index);
    for (const line of scan.lines) {
      const row = line.row - displacement.rows;
      if (row < 0 || row >= height) continue;
      const middleOfFirst = line.startFs + (firstDot + displacement.dots + 0.5) * dotFs;
      // Dots whose middle lies in a stretch, its start included and its end not.
      const dotFrom = (time: number) => Math.ceil((time - middleOfFirst) / dotFs);
      forEachHigh(net, middleOfFirst - dotFs / 2, middleOfFirst + (width - 0.5) * dotFs, (from, to) => {
        const end = row * width + dotFrom(to);
        for (let dot = row * width + dotFrom(from); dot < end; dot++) dots[dot] = (dots[dot] ?? 0) | weight;
      });
    }
  });
  return picture;
}
