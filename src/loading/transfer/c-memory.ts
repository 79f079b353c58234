import type { Circuit } from "../../circuit/index.js";
import { linesOf } from "../format/c-array.js";
import { hex } from "../format/memory-image.js";
import { numberingOf, sentAs } from "./numbering.js";
import { runsOf } from "./runs.js";
import type { SentByte } from "./sender.js";
import type { WritePath } from "./write-path.js";

/**
 * Writes a transfer as C (ISO/IEC 9899:1999) for the processor whose bus the board clocks: the memory is part of its own, so that
 * a byte is sent by storing it. Addresses and bytes are those of the processor's own lines.
 */
export function writeMemoryC(circuit: Circuit, path: WritePath, bytes: readonly SentByte[], title: string): string {
  const numbering = numberingOf(circuit, path);
  const isMoved = numbering && !numbering.isSame;
  const sent = isMoved ? bytes.map((one) => sentAs(one, numbering)).sort((a, b) => a.address - b.address) : bytes;
  const runs = runsOf(sent);
  const plain = (text: string) => text.replace(/[^\x20-\x7e]/g, "?").replace(/\*\//g, "* /");
  return `/*
 * Fills ${path.ram.ref} (${path.ram.part.number}) of "${plain(circuit.title)}": ${plain(title)}, ${bytes.length} bytes.
 *
 * For the processor whose bus the board clocks. Define DW_MEMORY as the address at which it finds the memory, for
 * example with -DDW_MEMORY=0x8000, and call dw_load().
 */
#ifndef DW_MEMORY
#error "DW_MEMORY is the address of the memory on the processor's bus"
#endif

void dw_write(unsigned long address, unsigned char byte);
void dw_load(void);

/* The bytes, in the order in which they are sent. */
static const unsigned char dw_bytes[${bytes.length}] = {
${linesOf(Uint8Array.from(sent, ({ byte }) => byte)).join("\n")}
};

/* Where they go: stretches of consecutive addresses. */
static const struct { unsigned long address, count; } dw_runs[${runs.length}] = {
${runs.map(({ address, count }) => `    {${hex(address)}, ${count}},`).join("\n")}
};

void dw_write(unsigned long address, unsigned char byte)
{
    ((volatile unsigned char *)(DW_MEMORY))[address] = byte;
}

void dw_load(void)
{
    const unsigned char *byte = dw_bytes;
    unsigned long run;
    unsigned long at;

    for (run = 0ul; run < ${runs.length}ul; run++) {
        for (at = 0ul; at < dw_runs[run].count; at++) {
            dw_write(dw_runs[run].address + at, *byte++);
        }
    }
}
`;
}
