import type { Change } from "../parts/index.js";
import type { SequenceBook } from "./sequence-book.js";
import type { Capture, CellState, Member, Present, Region, Wave } from "./state.js";
import type { Moment } from "./moment.js";

const CHANGES: readonly Change[] = ["rise", "fall", "z-to-high", "z-to-low", "high-to-z", "low-to-z"];

/** Writes a state as a sequence of integers that is the same for equal states only. */
export function putState(book: SequenceBook, state: CellState): void {
  switch (state.kind) {
    case "wave":
      book.put(0);
      putWave(book, state);
      return;
    case "outside":
      // What is forgotten when depends on the signal, and two signals may else be alike.
      for (const value of [1, state.rose, state.fell, state.riseMatters, state.fallMatters, state.step, state.phase]) {
        book.put(value);
      }
      putWave(book, state.wave);
      return;
    case "chip":
      book.put(2);
      book.put(state.keeps);
      book.put(state.stored.length);
      for (const level of state.stored) book.put(level);
      book.put(state.changes.length);
      for (const { bit, from, to, slot, born, order, isChosen } of state.changes) {
        for (const value of [bit, from, to + (isChosen ? 8 : 0), slot, born, order]) book.put(value);
      }
      book.put(state.captures.length);
      for (const capture of state.captures) putCapture(book, capture);
      for (const { slot, born, order, edgeSlot, edgeBorn, edgeOrder, isBefore } of state.decisions) {
        for (const value of [slot, born, order, edgeSlot, edgeBorn, edgeOrder, isBefore ? 1 : 0]) book.put(value);
      }
  }
}

function putWave(book: SequenceBook, { level, keeps, regions, members }: Wave): void {
  book.put(level);
  book.put(keeps);
  book.put(regions.length);
  for (const region of regions) putRegion(book, region);
  putMembers(book, members);
}

/** Writes a present as integers that are the same for equal ones only. */
export function putPresent(book: SequenceBook, { base, level, regions, members }: Present): void {
  book.put(base);
  book.put(level);
  book.put(regions.length);
  for (const region of regions) putRegion(book, region);
  putMembers(book, members);
}

function putMembers(book: SequenceBook, members: readonly Member[]): void {
  for (const { slot, born, order, closed, changes } of members) {
    book.put(slot);
    book.put(born);
    book.put(order);
    book.put(closed ? 1 : 0);
    book.put(changes.length);
    for (const change of changes) book.put(CHANGES.indexOf(change));
  }
}

/** Writes a change as integers that are the same for equal ones only. */
export function putRegion(book: SequenceBook, region: Region): void {
  book.put(region.born);
  book.put(region.order);
  book.put(
    region.from +
      8 * region.to +
      (region.clean ? 64 : 0) +
      (region.opened ? 128 : 0) +
      (region.closed ? 256 : 0) +
      (region.settled ? 512 : 0) +
      (region.drove ? 1024 : 0),
  );
  putMoments(book, region.early);
  putMoments(book, region.late);
  book.put(region.steps.length);
  for (const { moment, to } of region.steps) {
    book.put(moment.path);
    book.put(moment.tick);
    book.put(to);
  }
}

function putCapture(book: SequenceBook, { gate, slot, writeEnd, tick, early, late, held, before }: Capture): void {
  book.put(gate);
  book.put(slot);
  book.put(writeEnd === undefined ? 0 : writeEnd ? 1 : 2);
  book.put(tick);
  putMoments(book, early);
  putMoments(book, late);
  book.put(held.length);
  for (const pin of held) book.put(pin);
  book.put(before.length);
  for (const one of before) {
    book.put(one.slot);
    book.put(one.born);
    book.put(one.order);
    book.put((one.isRelease ? 1 : 0) + (one.isChecked ? 2 : 0));
  }
}

function putMoments(book: SequenceBook, moments: readonly Moment[]): void {
  book.put(moments.length);
  for (const { path, tick } of moments) {
    book.put(path);
    book.put(tick);
  }
}
