export { type Expression, parseExpression, namesIn, evaluate } from './expression.js';
export type { Behaviour, ClockSource, Latch, Memory, Output, Override, Pin, PinRole, Register, Storage } from './behaviour.js';
export {
  type Change,
  type Delay,
  type Edge,
  type Figures,
  type MemorySymbol,
  type Missing,
  type Requirement,
  type RequirementKind,
  type Source,
  isMissing,
} from './figures.js';
export type { Oscillation, Package, PackagePin, Part } from './part.js';
