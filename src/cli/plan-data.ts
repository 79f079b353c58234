import {
  type Plan,
  PATH_FORMULAS,
  type SearchResult,
  type StandsInTheWay,
  distinctionsOf,
  obstaclesToWriting,
} from "../planning/index.js";
import { inHertz, shortName } from "../raster/index.js";

/** All plans of the front as data; times in nanoseconds, frequencies in hertz. */
export function plansData(result: SearchResult, obstacles: readonly StandsInTheWay[]) {
  const { front, combinations, meeting, fallen } = result;
  const distinctions = distinctionsOf(front);
  return {
    combinations,
    meeting,
    fallen: Object.fromEntries(fallen),
    plans: front.map((plan, index) => ({
      number: index + 1,
      bestIn: distinctions.get(plan) ?? [],
      ...planData(plan),
    })),
    obstacles: obstacles.map(({ wishes, nearest }) => ({ withoutWishes: wishes, nearest: planData(nearest) })),
  };
}

function planData(plan: Plan) {
  const { raster, oscillator, divider, counted, line, frame, columns, rows, lineRepeat, content, figures } = plan;
  const [obstacle] = obstaclesToWriting(plan);
  return {
    raster: { id: raster.id, name: raster.name, short: shortName(raster), source: raster.source },
    oscillatorHz: inHertz(oscillator),
    divider,
    line,
    frame,
    lineRatePercent: counted.lineRatePercent,
    frameRatePercent: counted.frameRatePercent,
    horizontalSyncPercent: counted.hSyncPercent,
    columns,
    rows,
    lineRepeat,
    content,
    memory: plan.memory,
    sharing: plan.sharing,
    family: plan.family,
    output: plan.output.kind,
    ...figures,
    paths: plan.paths.map(({ path, margin }) => ({ path, marginNs: margin, formula: PATH_FORMULAS[path] })),
    writable: obstacle === undefined,
    ...(obstacle !== undefined && { notYet: obstacle }),
  };
}
