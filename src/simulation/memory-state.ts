import { decide } from "./decision.js";
import type { MemoryTable, Tables } from "./tables.js";
import { HIGH, LOW, MARK_SHIFT, UNDRIVEN, UNKNOWN, VALUE } from "./value.js";

/** A write that did not do what a write should. */
export interface StrayWrite {
  /** Chip of the memory. */
  readonly ref: string;
  /** Femtoseconds. */
  readonly time: number;
  /** Cell that was written besides the first of the pulse; absent where the address was unknown. */
  readonly address?: number;
}

/** With more unknown address bits than this, a read is unknown and a write is only counted, not carried out. */
const MOST_UNKNOWN_BITS = 4;
const MOST_STRAY_WRITES = 1000;

const DATA = 1;
const ADDRESS = 2;
const CONTROL = 3;

/**
 * The inside of one memory chip. While a write goes on the selected cell follows the data, so it keeps what the data was at
 * the end of the pulse; and when the address moves during a write, each cell that it touches on the way takes the data too.
 * A real chip may or may not write such a cell; the simulation always does and lists it as a stray write.
 *
 * A dual-port RAM has one such state for each port, with one array. While one port writes a cell, or may, the other reads
 * "unknown" there; what both write at once is unknown. The chip's arbitration (BUSY#) is not modelled.
 */
export class MemoryState {
  /** One byte a word. */
  readonly contents: Uint8Array;
  /** Bits of `contents` that are unknown. */
  readonly unknown: Uint8Array;
  readonly strayWrites: StrayWrite[] = [];
  /** Writes in all, stray ones not counted: the pulses. */
  writeCount = 0;
  strayCount = 0;
  /** Words for the data drivers, after `refresh` or `react`. */
  readonly output: Int32Array;

  private readonly tables: Tables;
  private readonly memory: MemoryTable;
  private readonly words: Int32Array;
  private readonly firstMark: number;
  private readonly roles: Uint8Array; // of variables
  private readonly wordBits: number;
  private address = 0;
  private addressIsStale = false; // while neither read nor written
  private unknownAddress = 0;
  private driving = UNKNOWN;
  private writing = LOW;
  /** Every port onto the array, this one included. */
  private readonly ports: MemoryState[];

  /**
   * `first` is the mark of bit 0 of word 0, for provenance, 0 where no marks are kept; or the first port of the chip, whose
   * array and marks this one shares.
   */
  constructor(tables: Tables, memory: MemoryTable, words: Int32Array, first: number | MemoryState) {
    this.tables = tables;
    this.memory = memory;
    this.words = words;
    if (typeof first === "number") {
      this.firstMark = first;
      this.contents = new Uint8Array(2 ** memory.address.length);
      this.unknown = new Uint8Array(this.contents.length).fill(0xff);
      this.ports = [];
    } else {
      ({ firstMark: this.firstMark, contents: this.contents, unknown: this.unknown, ports: this.ports } = first);
    }
    this.ports.push(this);
    this.wordBits = memory.dataOut.length;
    this.output = new Int32Array(this.wordBits).fill(UNKNOWN);
    this.roles = new Uint8Array(words.length);
    for (const pin of memory.dataIn) this.roles[pin] = DATA;
    for (const pin of memory.address) this.roles[pin] = ADDRESS;
    for (const pin of memory.control) this.roles[pin] = CONTROL;
  }

  /** All that it holds beyond the array, in numbers. */
  get pinState(): readonly number[] {
    const { address, addressIsStale, unknownAddress, driving, writing, writeCount, strayCount, output } = this;
    return [address, addressIsStale ? 1 : 0, unknownAddress, driving, writing, writeCount, strayCount, ...output];
  }

  /** Goes on from such numbers; the array is set apart. Stray writes are listed from now on. */
  set pinState(state: readonly number[]) {
    const [address = 0, isStale, unknownAddress = 0, driving = UNKNOWN, writing = LOW, writes = 0, strays = 0] = state;
    [this.address, this.addressIsStale, this.unknownAddress] = [address, isStale === 1, unknownAddress];
    [this.driving, this.writing, this.writeCount, this.strayCount] = [driving, writing, writes, strays];
    this.output.set(state.slice(state.length - this.output.length));
    this.strayWrites.length = 0;
  }

  /** Reads all pins afresh, without writing: for power-up. */
  refresh(): void {
    this.readAddress();
    this.driving = this.decide(this.memory.drive);
    this.writing = LOW;
    this.show();
  }

  /** Loads contents from address 0 on; the rest becomes unknown. The counts of writes begin anew. */
  load(bytes: Uint8Array): void {
    if (bytes.length > this.contents.length) {
      throw new RangeError(`${this.memory.chip.ref} holds ${this.contents.length} bytes; ${bytes.length} were given`);
    }
    this.contents.set(bytes);
    this.unknown.fill(0, 0, bytes.length).fill(0xff, bytes.length);
    this.strayWrites.length = 0;
    this.writeCount = 0;
    this.strayCount = 0;
    for (const port of this.ports) {
      if (port.addressIsStale) port.readAddress();
      port.show();
    }
  }

  /** Takes up a write that is on from the start, if it surely is. */
  begin(): void {
    this.writing = this.decide(this.memory.write);
    if (this.writing !== HIGH) return;
    this.writeCount++;
    this.write(0);
    this.show();
  }

  /** The chip's name. */
  get ref(): string {
    return this.memory.chip.ref;
  }

  /** Follows a change at one of its pins. True when `output`, what the data drivers should carry, may have changed. */
  react(pin: number, time: number): boolean {
    const role = this.roles[pin] as number;
    if (role === DATA) {
      if (this.writing !== LOW) this.write(time);
      return this.writing !== LOW && this.ports.length > 1;
    }
    if (role === ADDRESS && this.driving === LOW && this.writing === LOW) {
      this.addressIsStale = true;
      return false;
    }
    this.readAddress();
    if (role === CONTROL) {
      this.readControl(time);
    } else if (this.writing !== LOW) {
      this.noteStray(time);
      this.write(time);
    }
    this.show();
    return true;
  }

  private readControl(time: number): void {
    const before = this.writing;
    this.writing = this.decide(this.memory.write);
    this.driving = this.decide(this.memory.drive);
    if (this.writing === LOW || this.writing === before) return;
    if (before === LOW) this.writeCount++;
    this.write(time);
  }

  private readAddress(): void {
    this.addressIsStale = false;
    const { address } = this.memory;
    let known = 0;
    let unknown = 0;
    for (let bit = 0; bit < address.length; bit++) {
      const value = (this.words[address[bit] as number] as number) & VALUE;
      if (value === HIGH) known |= 1 << bit;
      else if (value !== LOW) unknown |= 1 << bit;
    }
    this.address = known;
    this.unknownAddress = unknown;
  }

  /** Brings `output` up to what the array holds. */
  show(): void {
    const { output } = this;
    if (this.driving !== HIGH) {
      output.fill(this.driving === LOW ? UNDRIVEN : UNKNOWN);
      return;
    }
    if (this.otherWriter()) {
      output.fill(UNKNOWN);
      return;
    }
    if (this.unknownAddress === 0) {
      const byte = this.contents[this.address] as number;
      const unknown = this.unknown[this.address] as number;
      const mark = this.firstMark === 0 ? 0 : this.firstMark + this.address * this.wordBits;
      for (let bit = 0; bit < output.length; bit++) {
        const value = (unknown >> bit) & 1 ? UNKNOWN : (byte >> bit) & 1;
        output[bit] = mark === 0 ? value : value | ((mark + bit) << MARK_SHIFT);
      }
      return;
    }
    // Some address bits are unknown: a data bit is known where all cells that it may be agree.
    let ones = 0;
    let zeros = 0;
    const isFew = this.forEachCandidate((cell) => {
      const unknown = this.unknown[cell] as number;
      ones |= (this.contents[cell] as number) | unknown;
      zeros |= ~(this.contents[cell] as number) | unknown;
    });
    for (let bit = 0; bit < output.length; bit++) {
      const [canBeHigh, canBeLow] = [(ones >> bit) & 1, (zeros >> bit) & 1];
      output[bit] = !isFew || (canBeHigh && canBeLow) ? UNKNOWN : canBeHigh;
    }
  }

  private write(time: number): void {
    let data = 0;
    let unknown = 0;
    const pins = this.memory.dataIn;
    for (let bit = 0; bit < pins.length; bit++) {
      const value = (this.words[pins[bit] as number] as number) & VALUE;
      if (value === HIGH) data |= 1 << bit;
      else if (value !== LOW) unknown |= 1 << bit;
    }
    if (this.otherWriter()) unknown = (1 << this.wordBits) - 1;
    if (this.unknownAddress === 0 && this.writing === HIGH) {
      this.contents[this.address] = data;
      this.unknown[this.address] = unknown;
      return;
    }
    // It is not sure whether this cell is written: what it held and what it would take must agree.
    const isFew = this.forEachCandidate((cell) => {
      const differ = (this.contents[cell] as number) ^ data;
      this.unknown[cell] = (this.unknown[cell] as number) | unknown | differ;
    });
    if (!isFew) this.list(time);
  }

  /** Visits every cell that the unknown bits allow; false, and none visited, where they are too many. */
  private forEachCandidate(visit: (cell: number) => void): boolean {
    const mask = this.unknownAddress;
    let bits = 0;
    for (let rest = mask; rest !== 0; rest &= rest - 1) bits++;
    if (bits > MOST_UNKNOWN_BITS) return false;
    let part = mask;
    for (;;) {
      visit(this.address | part);
      if (part === 0) return true;
      part = (part - 1) & mask;
    }
  }

  /** Another port that writes, or may, where this one's address may be. */
  private otherWriter(): MemoryState | undefined {
    if (this.ports.length === 1) return undefined;
    return this.ports.find((port) => {
      const known = ~(port.unknownAddress | this.unknownAddress);
      return port !== this && port.writing !== LOW && ((port.address ^ this.address) & known) === 0;
    });
  }

  private noteStray(time: number): void {
    if (this.writing === HIGH && this.unknownAddress === 0) this.list(time, this.address);
  }

  private list(time: number, address?: number): void {
    this.strayCount++;
    if (this.strayWrites.length >= MOST_STRAY_WRITES) return;
    this.strayWrites.push({ ref: this.memory.chip.ref, time, ...(address !== undefined && { address }) });
  }

  private decide(root: number): number {
    const { decisionVariable, decisionNext } = this.tables;
    return decide(root, decisionVariable, decisionNext, this.words);
  }
}
