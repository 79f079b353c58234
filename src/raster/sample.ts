import { type Picture, blackPicture } from "./picture.js";
import type { Displacement, Scan } from "./scan.js";
import { type VideoNets, depthOf, listVideo } from "./video.js";
import { firstChangeAfter, levelAfterChanges } from "./waveform.js";

/** Takes the level of every net at the middle of every active dot of one frame, displaced as the picture is. */
export function samplePicture(scan: Scan, video: VideoNets, displacement: Displacement): Picture {
  const { dotFs, firstDot, raster } = scan;
  const picture = blackPicture(raster.h.active, raster.v.active, depthOf(video));
  const nets = listVideo(video);
  nets.forEach((net, index) => {
    const weight = 1 << (nets.length - 1 - index);
    for (const line of scan.lines) {
      const row = line.row - displacement.rows;
      if (row < 0 || row >= picture.height) continue;
      const middleOfFirst = line.startFs + (firstDot + displacement.dots + 0.5) * dotFs;
      let change = firstChangeAfter(net, middleOfFirst);
      for (let x = 0; x < picture.width; x++) {
        const time = middleOfFirst + x * dotFs;
        while ((net.timesFs[change] ?? Infinity) <= time) change++;
        if (levelAfterChanges(net, change) === 0) continue;
        const dot = row * picture.width + x;
        picture.dots[dot] = (picture.dots[dot] ?? 0) | weight;
      }
    }
  });
  return picture;
}
