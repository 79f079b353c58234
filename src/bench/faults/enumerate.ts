import type { Chip, Circuit } from "../../circuit/index.js";
import { type Placed, behaviourOf, behaviours, hasSamePins, packageOf } from "../../parts/index.js";
import { type Board, type BoardPin, type Wire, pinLabel } from "../board/board.js";
import type { Replacement } from "../board/variant.js";
import type { Fault } from "./fault.js";

/** Every single thing that may be wrong on a board, in the order of its wires and chips. */
export function faultsOf(board: Board): readonly Fault[] {
  const { circuit } = board;
  return [
    ...board.wires.flatMap((wire) => wireFaults(board, wire)),
    ...swaps(board),
    ...circuit.chips.flatMap((chip, index) => [...shorts(board, index), ...chipFaults(board, chip, index)]),
    ...stuckNets(board),
    ...board.wires.flatMap((wire) => wrongLevels(board, wire)),
  ];
}

/** `from U2.2 1Q to U18.1 OE1# (DISPLAY#)`. */
export function wireText(board: Board, { from, to, net }: Wire): string {
  const [start, end] = [from === undefined ? undefined : board.pins[from], board.pins[to]];
  const label = (pin: BoardPin | undefined) => (pin ? pinLabel(pin) : "nowhere");
  return start ? `from ${label(start)} to ${label(end)} (${net.name})` : `from the ${net.name} rail to ${label(end)}`;
}

function wireFaults(board: Board, wire: Wire): readonly Fault[] {
  const { id, from, to, net } = wire;
  const text = wireText(board, wire);
  const found: Fault[] = [
    { id: `missing ${id}`, kind: "missing", edit: { cut: [id] }, wires: [id], text: `The wire ${text} is missing.` },
  ];
  const start = from ?? net.rail ?? "low";
  const ends: readonly (readonly [pin: BoardPin | undefined, other: number | "low" | "high"])[] = [
    [board.pins[to], start],
    ...(from === undefined ? [] : [[board.pins[from], to] as const]),
  ];
  for (const [pin, other] of ends) {
    for (const { label, at } of pin ? neighbours(board, pin) : []) {
      const join = at === other ? undefined : typeof at === "number" ? ([at, other] as const) : ([other, at] as const);
      if (!pin || !join || typeof join[0] !== "number") continue;
      found.push({
        id: `misplaced ${id} ${pinLabel(pin)} ${label}`,
        kind: "misplaced",
        edit: { cut: [id], join: [[join[0], join[1]]] },
        wires: [id],
        text: `The wire ${text} is in ${label} instead of ${pinLabel(pin)}.`,
      });
    }
  }
  return found;
}

/** The pins beside a chip's pin in its row, or the rail that a supply pin there is on. */
function neighbours(
  board: Board,
  { chip, chipIndex, number }: BoardPin,
): readonly { readonly label: string; readonly at: number | "low" | "high" }[] {
  if (!chip) return [];
  return [number - 1, number + 1].flatMap((place) => {
    const at = isBeside(chip, number, place) ? placeOn(board, chip, chipIndex, place) : undefined;
    return at ? [at] : [];
  });
}

/** Whether two places are in the same row of the package. */
function isBeside(chip: Chip, number: number, place: number): boolean {
  const count = Math.max(...chip.part.package.pins.map((pin) => pin.number));
  return place >= 1 && place <= count && number <= count / 2 === place <= count / 2;
}

function placeOn(board: Board, chip: Chip, chipIndex: number, place: number) {
  const pin = board.pinAt(chipIndex, place);
  if (pin) return { label: pinLabel(pin), at: pin.id };
  const name = chip.part.package.pins.find(({ number }) => number === place)?.name;
  const role = chip.part.behaviour.pins.find((one) => one.name === name)?.role;
  if (role !== "supply" && role !== "ground") return undefined;
  return { label: `${chip.ref}.${place} ${name}`, at: role === "supply" ? ("high" as const) : ("low" as const) };
}

/** Two wires of one bus whose ends were taken for each other. */
function swaps(board: Board): readonly Fault[] {
  const byName = new Map(board.circuit.nets.map((net) => [net.name, net]));
  return board.wires.flatMap((wire): Fault[] => {
    const [, head, digits, tail] = /^(.*?)(\d+)(\D*)$/.exec(wire.net.name) ?? [];
    const next = digits === undefined ? undefined : byName.get(`${head}${Number(digits) + 1}${tail}`);
    if (!next || wire.from === undefined) return [];
    const chip = board.pins[wire.to]?.chipIndex;
    return (board.wiresOf.get(next.id) ?? []).flatMap((other): Fault[] => {
      if (other.from === undefined || wire.from === undefined || board.pins[other.to]?.chipIndex !== chip) return [];
      if (chip === -1) return [];
      return [
        {
          id: `swapped ${wire.id} ${other.id}`,
          kind: "swapped",
          edit: {
            cut: [wire.id, other.id],
            join: [
              [wire.from, other.to],
              [other.from, wire.to],
            ],
          },
          wires: [wire.id, other.id],
          text: `The wires ${wireText(board, wire)} and ${wireText(board, other)} are swapped at their far ends.`,
        },
      ];
    });
  });
}

/** Neighbouring pins of a chip that touch. */
function shorts(board: Board, chipIndex: number): readonly Fault[] {
  const chip = board.circuit.chips[chipIndex];
  if (!chip) return [];
  return chip.part.package.pins.flatMap(({ number }): Fault[] => {
    if (!isBeside(chip, number, number + 1)) return [];
    const [one, other] = [placeOn(board, chip, chipIndex, number), placeOn(board, chip, chipIndex, number + 1)];
    const pin = [one, other].find((place) => typeof place?.at === "number")?.at;
    if (!one || !other || typeof pin !== "number") return [];
    const end = pin === one.at ? other.at : one.at;
    const node = (at: number | "low" | "high") => (typeof at === "number" ? board.pins[at]?.node : board[at]);
    if (node(one.at) === node(other.at)) return [];
    return [
      {
        id: `short ${one.label} ${other.label}`,
        kind: "short",
        edit: { join: [[pin, end]] },
        wires: [],
        chip: chip.ref,
        text: `${one.label} and ${other.label} touch.`,
      },
    ];
  });
}

function chipFaults(board: Board, chip: Chip, index: number): readonly Fault[] {
  const { ref, part } = chip;
  const on = { wires: [], chip: ref };
  const roles = new Map(part.behaviour.pins.map(({ name, role }) => [name, role]));
  const supplies = part.package.pins.flatMap(({ number, name }): Fault[] => {
    const role = roles.get(name);
    if (role !== "supply" && role !== "ground") return [];
    const rail = role === "supply" ? "supply" : "ground";
    return [
      {
        id: `unpowered ${ref} ${number}`,
        kind: "unpowered",
        edit: { dead: [index] },
        ...on,
        text: `${ref} has no ${rail} at its pin ${number} ${name}.`,
      },
    ];
  });
  return [
    {
      id: `absent ${ref}`,
      kind: "absent",
      edit: { dead: [index] },
      ...on,
      text: `${ref}, ${part.number}, is not in its socket.`,
    },
    {
      id: `backwards ${ref}`,
      kind: "backwards",
      edit: { dead: [index], backwards: true },
      ...on,
      text: `${ref}, ${part.number}, is in its socket the wrong way round.`,
    },
    ...supplies,
    ...wrongParts(board.circuit, chip, index).map((replacement): Fault => ({
      id: `wrong part ${ref} ${replacement.number}`,
      kind: "wrong part",
      edit: { replace: [replacement] },
      ...on,
      text: `${ref} is a ${replacement.number} instead of a ${part.number}.`,
    })),
  ];
}

/** Numbers that are taken for each other lie no further apart than this. Our own choice. */
const NEAR_NUMBERS = 3;

/** Other functions that fit a chip's socket and are taken for it: near numbers, same pins, or others of the board. */
function wrongParts({ chips }: Circuit, { part }: Chip, chipIndex: number): readonly Replacement[] {
  const own: Placed = { behaviour: part.behaviour, package: part.package };
  const number = part.behaviour.function;
  if (!/^\d+$/.test(number) || part.behaviour.memory) return [];
  const onBoard = new Set(chips.map((chip) => chip.part.behaviour.function));
  return behaviours.flatMap(({ function: other }): Replacement[] => {
    const [behaviour, shape] = [behaviourOf(other), packageOf(other)];
    if (other === number || !behaviour || !shape || !/^\d+$/.test(other)) return [];
    if (shape.pins.length !== part.package.pins.length || !hasSameSupply(own, { behaviour, package: shape })) return [];
    const isNear = Math.abs(Number(other) - Number(number)) <= NEAR_NUMBERS;
    if (!isNear && !onBoard.has(other) && !hasSamePins(own, { behaviour, package: shape })) return [];
    return [{ chipIndex, number: renumbered(part.number, number, other), behaviour, package: shape }];
  });
}

/** `74HC74` for function 161: `74HC161`. The function is what stands last. */
function renumbered(part: string, own: string, other: string): string {
  const at = part.lastIndexOf(own);
  return part.slice(0, at) + other + part.slice(at + own.length);
}

function hasSameSupply(own: Placed, other: Placed): boolean {
  const supply = ({ behaviour, package: shape }: Placed) => {
    const roles = new Map(behaviour.pins.map(({ name, role }) => [name, role]));
    return shape.pins.flatMap(({ number, name }) => {
      const role = roles.get(name);
      return role === "supply" || role === "ground" ? [`${number} ${role}`] : [];
    });
  };
  return supply(own).sort().join() === supply(other).sort().join();
}

function stuckNets(board: Board): readonly Fault[] {
  return board.circuit.nets.flatMap((net): Fault[] => {
    const pin = board.pins.find(({ node }) => node === net.id);
    if (net.rail || !pin) return [];
    return (["low", "high"] as const).map((rail) => ({
      id: `stuck ${net.name} ${rail}`,
      kind: "stuck",
      edit: { join: [[pin.id, rail]] },
      wires: (board.wiresOf.get(net.id) ?? []).map(({ id }) => id),
      text: `${net.name} is held ${rail}: a short to the ${rail} rail, or a dead output.`,
    }));
  });
}

/** An input whose active level was mistaken: held at the other rail, or on the complement of its signal. */
function wrongLevels(board: Board, wire: Wire): readonly Fault[] {
  const pin = board.pins[wire.to];
  if (!pin?.chip || !pin.reads || pin.drives) return [];
  const about = { wires: [wire.id], chip: pin.chip.ref, kind: "wrong level" as const };
  if (wire.net.rail) {
    const other = wire.net.rail === "low" ? "high" : "low";
    return [
      {
        id: `level ${wire.id}`,
        edit: { cut: [wire.id], join: [[pin.id, other]] },
        ...about,
        text: `${pinLabel(pin)} is held ${other} instead of ${wire.net.rail}.`,
      },
    ];
  }
  if (!pin.name.endsWith("#") && !wire.net.name.endsWith("#")) return [];
  return [
    {
      id: `level ${wire.id}`,
      edit: { invert: [pin.id] },
      ...about,
      text: `${pinLabel(pin)} gets ${wire.net.name} the other way up.`,
    },
  ];
}
