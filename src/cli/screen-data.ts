import type { Comparison, TelevisionComparison } from "../raster/index.js";
import type { SeenOnScreen } from "./screen-text.js";

/** What a monitor makes of a signal, as data for other programs. */
export function screenData({ monitor, raster }: SeenOnScreen) {
  return {
    locks: monitor.locked,
    ...(raster && { wantedRaster: raster.id }),
    ...(monitor.locked
      ? {
          lineRateHz: monitor.lock.lineRateHz,
          frameRateHz: monitor.lock.fieldRateHz,
          linesPerFrame: monitor.lock.linesPerField,
          nearestRaster: monitor.recognition.best.raster.id,
          meets: monitor.against.meets,
          deviations: deviations(monitor.against),
          alike: monitor.recognition.alike.map((one) => one.raster.id),
          alsoMet: monitor.recognition.alsoMet.map((one) => one.raster.id),
          displacement: monitor.displacement,
          ...(monitor.porches && { porches: monitor.porches }),
          ...(monitor.blackLevel && { blackLevel: monitor.blackLevel }),
          ...(monitor.television && { television: television(monitor.television) }),
        }
      : {
          reason: monitor.reason,
          detail: monitor.detail,
          ...(monitor.unheld && { onPictureTube: monitor.unheld.what }),
        }),
    findings: monitor.findings,
  };
}

/** In per cent, dots and lines; more than the raster says is positive. */
function deviations({ raster, ...by }: Comparison) {
  return { from: raster.id, ...by };
}

function television({ system, interlaced, meets, figures }: TelevisionComparison) {
  return { system: system.id, standard: system.standard, interlaced, meets, figures };
}
