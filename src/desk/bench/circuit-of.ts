import { type Circuit, readCircuit } from "../../circuit/index.js";
import { findRaster } from "../../raster/index.js";
import type { DeskFile } from "../protocol.js";

/** The circuit of a file that the desk has found to be without mistakes. */
export function circuitOf({ name, text, ownParts }: DeskFile): Circuit {
  const { circuit } = readCircuit(text, name, { findRaster, ...(ownParts && { ownParts }) });
  if (!circuit) throw new Error("The file has mistakes.");
  return circuit;
}
