import { FS_PER_NS } from "../../quantity/index.js";
import { type Raster, findRaster, publishedRasters, shortName } from "../../raster/index.js";
import { type Design, addressBits, bitsPerDot, cellTime, dotsPerCell, hasLoadDrivers } from "../design.js";
import { type WrittenBoard, bus } from "./board.js";
import { circuitText, wrapped } from "./circuit-text.js";
import { writingProblems } from "./limits.js";
import { memoryNamed } from "./memory-named.js";
import { columnBlock, lineBlock } from "./counters.js";
import { shownAt } from "./counting.js";
import { decode } from "./decoding.js";
import { busSide } from "./bus-side.js";
import { characterBlock, displayAddressBlock, dotBlock, memoryBlock } from "./display.js";
import { FAMILY_PARTS } from "./families.js";
import { gateChips } from "./gates.js";
import { latchSide } from "./latch-side.js";
import { phasesOf } from "./phases.js";
import type { SharingParts } from "./sharing.js";
import { connectorResistors, lateSyncBlock, syncBlock, videoOutput } from "./video.js";

/** What the file is called, and what it is for, in sentences. */
export interface Heading {
  readonly title: string;
  readonly about: string;
}

/** The complete circuit file of a design, every chip and every pin. Throws RangeError where it is none that can be written. */
export function writeCircuit(design: Design, heading: Heading): string {
  const problems = writingProblems(design);
  if (problems.length > 0) throw new RangeError(problems.join("; "));
  return circuitText(writeBoard(design, heading));
}

/** How many chips the circuit of a design has. Throws RangeError as `writeCircuit` does. */
export function chipsOf(design: Design): number {
  const { blocks } = writeBoard(design, { title: "", about: "" });
  return blocks.reduce((sum, { chips }) => sum + chips.length, 0);
}

function writeBoard(design: Design, { title, about }: Heading): WrittenBoard {
  const memory = memoryNamed(design.memory);
  const cellNs = cellTime(design) / FS_PER_NS;
  const parts = FAMILY_PARTS[design.family];
  const sharing = sharingOf(design, memory.memory.address.length);
  const phases = phasesOf(design, sharing);
  const decoded = decode(design, phases);
  const { columns, lines, syncs, gates } = decoded;
  const { column, row } = addressBits(design);
  const repeatBits = Math.log2(design.lineRepeat);
  const { content } = design;
  const characterBits = content.kind === "text" ? Math.log2(content.characterRows) : 0;
  const depth = bitsPerDot(design);
  const video = videoOutput(design.output.kind, depth, syncs);
  const [quick, others] = [gates.filter(({ isQuick }) => isQuick), gates.filter(({ isQuick }) => !isQuick)];
  return {
    head: [...wrapped(about), "", ...wrapped(describeCell(design)), "", ...phases.picture],
    title,
    build: design.build,
    raster: nameOf(design.raster),
    picture: [
      ["size", `${design.columns} x ${design.rows}`],
      ["hsync", syncs[0]?.name ?? ""],
      ["vsync", syncs.at(-1)?.name ?? ""],
      ...video.picture,
    ],
    inputs: sharing.inputs,
    undrivenNs: Math.ceil((sharing.undrivenPhases * cellNs) / 80) * 10 + 120,
    blocks: [
      ...phases.blocks,
      ...(quick.length > 0
        ? [
            {
              title: "Gates of the ring",
              about: "A tap, one of these and a flip-flop fit into a phase.",
              chips: gateChips(quick),
            },
          ]
        : []),
      columnBlock(columns, "74HC161"),
      lineBlock(lines, "74HC161", decoded.unreadLineBits, shownAt(columns, columns.jump - 1)),
      {
        title: "Decoding of column and line",
        about: "All of it settles within a cell and is looked at by clocked inputs only, so it may glitch.",
        chips: gateChips(others),
      },
      content.kind === "text"
        ? lateSyncBlock(parts.lateSyncs, phases.syncClock, syncs, sharing.needsFrameSync)
        : syncBlock(parts.syncs, phases.syncClock, syncs, sharing.needsFrameSync),
      displayAddressBlock(
        {
          bits: [...bus("COL", column), ...bus("LINE", row, repeatBits + characterBits)],
          formula: `row * ${2 ** column} + column`,
        },
        memory.memory.address.length,
        parts.displayAddress,
      ),
      sharing.block,
      memoryBlock(design.memory, memory, sharing.memories),
      ...(content.kind === "text"
        ? [
            characterBlock(
              content.characterRom,
              memoryNamed(content.characterRom),
              bus("LINE", characterBits, repeatBits),
              parts.codeRegister,
              phases.codeTaken,
              sharing.shown,
            ),
          ]
        : []),
      dotBlock({
        depth,
        data: content.kind === "text" ? "ROM" : sharing.shown,
        loadPhase: phases.loadPhase,
        hasLoadDrivers: hasLoadDrivers(design),
        parts,
      }),
      video.block,
    ],
    passives: [video.resistors, ...(sharing.connector.length > 0 ? [connectorResistors(sharing.connector)] : [])],
  };
}

function sharingOf(design: Design, memoryBits: number): SharingParts {
  const parts = FAMILY_PARTS[design.family];
  const { kind } = design.sharing;
  const cellNs = cellTime(design) / FS_PER_NS;
  if (kind === "alternate slots") return busSide(memoryBits, design.family, parts);
  return latchSide({
    kind,
    addressBits: memoryBits,
    cellNs,
    visibleNs: design.line.active * cellNs,
    parts,
    frameSync: design.output.kind === "VGA" ? "VSYNC_REG" : "FRAME_SYNC",
    processor: design.sharing.kind === "wait states" ? design.sharing.processor : "",
  });
}

/** The name that people use where it means this raster, else its id. */
function nameOf(raster: Raster): string {
  const published = publishedRasters.find(({ id }) => id === raster.id);
  const name = published && shortName(published);
  const found = name === undefined ? undefined : findRaster(name);
  return name !== undefined && found?.found && found.raster.id === raster.id ? name : raster.id;
}

function describeCell(design: Design): string {
  const [cellNs, dots] = [cellTime(design) / FS_PER_NS, dotsPerCell(design)];
  const kept = `${design.columns} x ${design.rows} dots`;
  const shown =
    design.content.kind === "text"
      ? `${kept}, ${design.columns / 8} x ${design.rows / design.content.characterRows} characters`
      : `${kept}${bitsPerDot(design) > 1 ? ` of ${bitsPerDot(design)} bits` : ""}`;
  return (
    `${shown}; each row on ${design.lineRepeat === 1 ? "one line" : `${design.lineRepeat} lines`}. ` +
    `One byte takes ${dots} dots of ${tidy(cellNs / dots)} ns: one memory cycle of ${tidy(cellNs)} ns, a cell. ` +
    `A ring of eight flip-flops says where in the cell the board is, in phases of ${tidy(cellNs / 8)} ns.`
  );
}

function tidy(ns: number): string {
  return String(Math.round(ns * 100) / 100);
}
