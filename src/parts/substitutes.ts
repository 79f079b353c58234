import { behaviourOf, behaviours } from "./behaviours/index.js";
import { findPart, functionsOf, isPartProblem, listPartNumbers } from "./catalogue.js";
import type { Conditions } from "./conditions.js";
import { familyTraits, outputSink } from "./family-traits.js";
import { families } from "./figure-rows.js";
import { isMissing } from "./figures.js";
import { levelsOf } from "./levels.js";
import { memoryRows } from "./memory-rows.js";
import { genericMemories } from "./memory-numbers.js";
import { nearestNames } from "./nearest-names.js";
import { packageOf } from "./package.js";
import type { Part } from "./part.js";
import { plainNumber } from "./part-number.js";
import { pinCompatible } from "./pin-compatible.js";
import { type SlowestArc, slowestArc, slowestOfBoth } from "./slowest-arc.js";

/** A part that fits where another one stands. */
export interface Substitute {
  readonly part: Part;
  /** In words, each a difference that a builder has to think of; empty: none but the speed. */
  readonly differences: readonly string[];
  /** Its slowest arc and that of the part it replaces, among arcs that both have figures for. */
  readonly slowest?: { readonly its: SlowestArc; readonly own: SlowestArc };
}

/**
 * Parts with the same pins: the function in other families, functions that differ in little, memories of other grades. The
 * fastest first; those without figures under the conditions last.
 */
export function substitutesFor(part: Part, conditions: Conditions): readonly Substitute[] {
  const numbers = part.behaviour.memory ? memoriesLike(part) : logicLike(part);
  const found = numbers.flatMap((number) => {
    const other = findPart(number, conditions);
    if (isPartProblem(other) || plainNumber(other.number) === plainNumber(part.number)) return [];
    const logical = other.behaviour === part.behaviour ? [] : pinCompatible(part, inDip(other, part));
    if (!logical) return [];
    const both = slowestOfBoth(part, other);
    const differences = [...logical, ...electrically(part, other, conditions)];
    return [{ part: other, differences, ...(both && { slowest: { own: both[0], its: both[1] } }) }];
  });
  const order = ({ slowest }: Substitute) => (slowest ? slowest.its.max / slowest.own.max : Infinity);
  return found.sort((a, b) => order(a) - order(b));
}

/** Small-outline parts have the DIP's pin order, so that places can be compared. */
function inDip(other: Part, part: Part): Part {
  const shape = packageOf(other.behaviour.function);
  return shape && shape.pins.length === part.package.pins.length ? { ...other, package: shape } : other;
}

function logicLike({ behaviour, package: shape, family }: Part): readonly string[] {
  if (behaviour.clockSource || !families.includes(family)) return [];
  const same = families.filter((one) => functionsOf(one).includes(behaviour.function));
  const near = behaviours.filter((other) => {
    const its = packageOf(other.function);
    return (
      other !== behaviour && its && pinCompatible({ behaviour, package: shape }, { behaviour: other, package: its })
    );
  });
  return [
    ...same.map((one) => `74${one}${behaviour.function}`),
    ...near.flatMap((other) =>
      families.filter((one) => functionsOf(one).includes(other.function)).map((one) => `74${one}${other.function}`),
    ),
  ];
}

/** Every grade of every maker of one organisation, by its own number. */
function memoriesLike({ behaviour }: Part): readonly string[] {
  return memoryRows.filter((row) => row.function === behaviour.function).map((row) => row.part);
}

/** Levels, drive and supply of another family; packages of another memory. */
function electrically(part: Part, other: Part, conditions: Conditions): readonly string[] {
  const { supplyVolts } = conditions;
  const [mine, theirs] = [part, other].map(({ family, behaviour }) => familyTraits(family, behaviour.function));
  const found: string[] = [];
  if (mine && theirs && mine !== theirs) {
    if (mine.levels !== theirs.levels) found.push(`${theirs.levels} input levels`);
    const [sink, itsSink] = [outputSink(part), outputSink(other)];
    if (sink !== undefined && itsSink !== undefined && sink !== itsSink) {
      found.push(`outputs sink ${itsSink} mA, not ${sink} mA`);
    }
    const [least, most] = theirs.supply;
    if (least > supplyVolts.min || most < supplyVolts.max) found.push(`made for ${least} to ${most} V`);
  }
  const [hasSchmitt, itHas] = [isSchmitt(part, conditions), isSchmitt(other, conditions)];
  if (hasSchmitt !== itHas) found.push(itHas ? "Schmitt-trigger inputs" : "no Schmitt trigger");
  if (part.package.isDual && !other.package.isDual) found.push(`${other.package.name}: needs an adapter`);
  return found;
}

function isSchmitt(part: Part, conditions: Conditions): boolean {
  const levels = levelsOf(part, conditions);
  return part.behaviour.pins.some(({ name, role }) => {
    const figures = role === "input" ? levels?.input(name) : undefined;
    return figures !== undefined && !isMissing(figures) && figures.isSchmitt;
  });
}

/** A part that a number not in the catalogue may stand for, and how it is near. */
export interface NearPart {
  readonly number: string;
  readonly how: string;
}

/** What a number means that no part in the catalogue has: the function in families on record, grades, similar numbers. */
export function nearParts(number: string, conditions: Conditions): readonly NearPart[] {
  const plain = plainNumber(number);
  const [, , letters = "", fn = ""] = /^([A-Z]{0,3})74([A-Z]*?)(\d+G?\d*)[A-Z]*$/.exec(plain) ?? [];
  if (fn !== "") return nearLogic(letters, fn, conditions);
  const [, stem = "", grade] = /^(.+)-(\d+)[A-Z]*$/.exec(plain) ?? [];
  const grades = [...genericMemories, ...memoryRows.map((row) => row.part)].filter((name) =>
    plainNumber(name).startsWith(`${stem}-`),
  );
  if (stem !== "" && grades.length > 0) {
    const asked = Number(grade);
    const gradeOf = (name: string) => Number(/-(\d+)$/.exec(name)?.[1] ?? 0);
    return [...grades]
      .sort((a, b) => Math.abs(gradeOf(a) - asked) - Math.abs(gradeOf(b) - asked))
      .slice(0, 6)
      .map((name) => ({ number: name, how: gradeOf(name) < asked ? "a faster grade" : "a slower grade" }));
  }
  return nearestNames(number, listPartNumbers(), 5).map((name) => ({ number: name, how: "a similar number" }));
}

function nearLogic(letters: string, fn: string, conditions: Conditions): readonly NearPart[] {
  const behaviour = behaviourOf(fn);
  const shape = packageOf(fn);
  if (!behaviour || !shape) {
    const known = behaviours
      .map((one) => one.function)
      .filter((one) => families.some((f) => functionsOf(f).includes(one)));
    return nearestNames(fn, known, 5).flatMap((near) => {
      const family =
        families.find((one) => one === letters && functionsOf(one).includes(near)) ??
        families.find((one) => functionsOf(one).includes(near));
      return [{ number: `74${family}${near}`, how: `a similar number, another function: ${behaviourOf(near)?.title}` }];
    });
  }
  const same = families
    .filter((family) => functionsOf(family).includes(fn))
    .map((family) => ({
      number: `74${family}${fn}`,
      how: `the same function, ${trait(family, fn, conditions)}`,
    }));
  const inFamily = families.includes(letters) ? functionsOf(letters) : [];
  const alike = inFamily.flatMap((name) => {
    const [other, its] = [behaviourOf(name), packageOf(name)];
    const differences =
      other && its && name !== fn && pinCompatible({ behaviour, package: shape }, { behaviour: other, package: its });
    if (!differences) return [];
    return [{ number: `74${letters}${name}`, how: `the same pins: ${[...differences, other.title].join("; ")}` }];
  });
  return [...alike, ...same];
}

function trait(family: string, fn: string, conditions: Conditions): string {
  const traits = familyTraits(family, fn);
  const part = findPart(`74${family}${fn}`, conditions);
  const slowest = isPartProblem(part) ? undefined : slowestArc(part);
  const speed = slowest ? `slowest ${(slowest.max / 1e6).toFixed(1)} ns` : "no figures under these conditions";
  return [traits?.title ?? family, traits && `${traits.levels} input levels`, speed].filter(Boolean).join(", ");
}
