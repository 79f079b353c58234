export { type Block, blocksOf } from "./blocks.js";
export { type BlockDrawing, blockDiagram } from "./block-diagram.js";
export { type PinSheet, pinDiagram } from "./pin-diagram.js";
export { type SupplyPins, supplyPins } from "./supply-pins.js";
