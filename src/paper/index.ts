export type { Bracket, CycleDrawing, Lane, LaneEdge, LaneLevel, LaneSegment, PathStep } from "./cycle-drawing.js";
export { verdictViews } from "./verdict-views.js";
export { type ChainStepView, type VerdictState, type VerdictView, worstFirst } from "./verdict-view.js";
export {
  type Answer,
  electricalFindingsAnswer,
  lockAnswer,
  pictureAnswer,
  proofAnswer,
  slotAnswer,
  wireAnswer,
} from "./answers.js";
export { type Markup, markup } from "./markup.js";
export { findingList } from "./finding-list.js";
export { scrolling } from "./page.js";
export { timingFigure } from "./timing-figure.js";
export { contentStyle } from "./page-style.js";
export { pngUri } from "./png-uri.js";
export { stateMark, stateSign } from "./verdict-table.js";
export { partsTable, pinMapFigures, wiringHtml } from "./wiring-html.js";
export { dark, light, mono, type Palette, paletteStyle, sans } from "./palette.js";
export { witnessDrawing } from "./witness-drawing.js";
export { type AccountDrawing, accountDrawings } from "./account-drawings.js";
export { chainDrawing } from "./chain-drawing.js";
export { memoryCycle } from "./memory-cycle.js";
export { type PartsLine, packageWords, partsList } from "./parts-list.js";
export { type MapPin, type PinMap, pinMaps } from "./pin-map.js";
export { drawPinMap } from "./pin-map-drawing.js";
export { pinMapText } from "./pin-map-text.js";
export { drawRaster } from "./raster-drawing.js";
export { type RasterAxis, type RasterView, rasterView, type Strip } from "./raster-view.js";
export { report, type ReportInput } from "./report.js";
export type { Diagrams } from "./book/diagram-sections.js";
export type { Gallery } from "./book/gallery-section.js";
export { lookPicture } from "./look-picture.js";
export { drawingStyle, type Label, standaloneSvg } from "./sheet.js";
export { pageWidth, textTable, wrapText } from "./text-table.js";
export { coveragePage } from "./coverage-page.js";
export { drawCycle, type TimingDrawing } from "./timing-drawing.js";
export { type TimingRow, timingRows, timingTable } from "./timing-table.js";
export { type Block, type OpenPin, type Section, type Step, wiringList, type WiringList } from "./wiring-list.js";
export { cautionSentences, wiringPage } from "./wiring-page.js";
export { terminalWords, wiringText, wiringTotals } from "./wiring-text.js";
export type { Terminal } from "./terminal.js";
export { type CatalogueLine, catalogueLines, catalogueText, nearPartsText } from "./catalogue-table.js";
export { type FunctionTable, type FunctionView, functionView } from "./function-table.js";
export { type DelayLine, type RequirementLine } from "./part-figures.js";
export { type PartPage, type SubstituteLine, partPage } from "./part-page.js";
export { partPageHtml, partPageSections } from "./part-page-html.js";
export { partPageText } from "./part-page-text.js";
export { type TextWave, textWaves } from "./text-waves.js";
export { markdownCell } from "./markdown-cell.js";
export { schemaReference } from "./schema-reference.js";
export { type DataFile, sourcesPage } from "./sources-page.js";
