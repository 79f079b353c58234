import { namesIn } from "../../parts/index.js";
import { type ArrayState, type Bit, FALSE, TRUE } from "./bit-graph.js";
import { type Level, UNKNOWN_LEVEL } from "./level.js";
import type { StepView } from "./step-view.js";
import type { Port, Signal } from "./structure.js";

/** What a change does to a memory. */
export interface MemoryChange {
  readonly state: ArrayState;
  /** Of each port: true where a write begins. */
  readonly begins: readonly Bit[];
}

/**
 * Works out the writes of one outside change. While a write goes on the cell follows the data; it keeps what the data were
 * when the write ended, whatever they do after. Whether data or address change before a write begins or ends, or after, is
 * told by cause and effect; else there is a race. An address that changes during a write is never sure to hit one cell.
 */
export function stepMemory(step: StepView, memory: number): MemoryChange {
  let state = step.rest.arrays[memory] ?? 0;
  const begins: Bit[] = [];
  for (const index of step.structure.memories[memory]?.ports ?? []) {
    const port = step.structure.ports[index];
    if (!port) continue;
    const done = stepPort(step, memory, index, port, state);
    state = done.state;
    begins.push(done.begins);
  }
  return { state, begins };
}

function stepPort(
  step: StepView,
  memory: number,
  index: number,
  port: Port,
  state: ArrayState,
): { readonly state: ArrayState; readonly begins: Bit } {
  const { write, chip } = port;
  if (!write) return { state, begins: FALSE };
  const { graph, levels, ordering, structure } = step;
  const at = (of: (signal: Signal) => Level) => (name: string) => of(structure.signalOf(chip, name));
  const rest = (signal: Signal): Level => step.rest.levels[signal] ?? step.now(signal);
  const [before, after] = [
    levels.evaluate(write, at(rest)),
    levels.evaluate(
      write,
      at((s) => step.now(s)),
    ),
  ];
  if (before.value === FALSE && before.known === TRUE && after.value === FALSE && after.known === TRUE) {
    notePulses();
    return { state, begins: FALSE };
  }
  const strobes = namesIn(write)
    .map((name) => structure.signalOf(chip, name))
    .filter((signal) => ordering.canChange(signal));
  notePulses();
  const [begins, ends] = [levels.and(levels.not(before), after), levels.and(before, levels.not(after))];
  const goesOn = levels.and(before, after);

  /** Whether a signal changes before or after every strobe; "either" where there is none that could change. */
  const place = (signal: Signal): "before" | "after" | "either" => {
    const relations = new Set(
      strobes.map((strobe) => (strobe === signal ? "either" : ordering.relation(signal, strobe))),
    );
    const [only] = relations;
    return relations.size === 1 && only ? only : "either";
  };
  const doubt = (kind: "race" | "address moves", when: Bit, signals: readonly Signal[]) => {
    const nets = [...strobes, ...signals].map((net) => structure.nameOf(net));
    step.doubt({ kind, when, place: chip.ref, nets });
  };

  // The address: steady all through, or the one before it moved, or after.
  const moves: Bit[] = [];
  const address = port.address.map((signal) => {
    const [old, now] = [rest(signal), step.now(signal)];
    if (!ordering.canChange(signal)) return now;
    const where = place(signal);
    const harmful = [
      levels.mayBeHigh(goesOn),
      where === "before" ? FALSE : levels.mayBeHigh(begins),
      where === "after" ? FALSE : levels.mayBeHigh(ends),
    ];
    moves.push(graph.and(graph.any(harmful), mayMove(signal)));
    step.afterwards(() => doubt("address moves", graph.and(graph.any(harmful), step.stirs(signal)), [signal]));
    return levels.choose(after, now, old);
  });

  // The data: what they are, or what they were when the write ended. The chip's own outputs are off meanwhile.
  const seen = new Map(port.data.map((signal) => [signal, step.netWithout(signal, index)]));
  const data = port.data.map((signal) => {
    const [old, now] = [rest(signal), seen.get(signal) ?? rest(signal)];
    if (!ordering.canChange(signal)) return now;
    const where = place(signal);
    if (where === "before") return now;
    // What the chip itself puts out once the write is over has no say in it.
    if (where === "either") {
      const moved = () => graph.or(levels.mayDiffer(old, now), step.stirs(signal, index));
      step.afterwards(() => doubt("race", graph.and(levels.isHigh(ends), moved()), [signal]));
    }
    const atEnd = where === "either" && step.followsUnknown ? eitherOf(old, now) : old;
    return levels.choose(after, now, atEnd);
  });

  // Where the write has ended its last data are in the cell already, unless they changed on the way.
  const late = graph.any(
    port.data.map((signal) =>
      ordering.canChange(signal) ? levels.mayDiffer(rest(signal), seen.get(signal) ?? rest(signal)) : FALSE,
    ),
  );
  const when = levels.choose(after, after, levels.and(ends, { value: late, known: TRUE }));
  if (!step.followsUnknown) {
    const unknown = [when, ...address, ...data].map(({ known }) => graph.not(known));
    const taken = graph.and(levels.mayBeHigh(when), graph.any(unknown));
    step.doubt({
      kind: "unknown",
      when: taken,
      place: chip.ref,
      nets: [...port.address, ...port.data].map(structure.nameOf),
    });
    const values = (list: readonly Level[]) => list.map(({ value }) => value);
    const made = graph.write({
      ...{ memory, before: state, when: when.value, address: values(address), data: values(data) },
      ...{ whenKnown: TRUE, addressKnown: [], dataKnown: [] },
    });
    return { state: made, begins: begins.value };
  }
  const uncertain = graph.any(moves);
  const moving = address.map((level, index): Level => {
    const signal = port.address[index] ?? 0;
    const open = ordering.canChange(signal) ? mayMove(signal) : FALSE;
    return { value: level.value, known: graph.and(level.known, graph.not(graph.and(uncertain, open))) };
  });
  const moved = graph.write({
    memory,
    before: state,
    when: graph.or(when.value, uncertain),
    whenKnown: graph.and(when.known, graph.not(uncertain)),
    address: moving.map(({ value }) => value),
    addressKnown: moving.map(({ known }) => known),
    data: data.map(({ value }) => value),
    dataKnown: data.map(({ known }) => known),
  });
  // Where the address comes to rest during the write, that cell is hit all the same.
  const made =
    uncertain === FALSE
      ? moved
      : graph.write({
          memory,
          before: moved,
          when: graph.and(after.value, uncertain),
          whenKnown: graph.or(after.known, graph.not(uncertain)),
          address: address.map(({ value }) => value),
          addressKnown: address.map(({ known }) => known),
          data: data.map(({ value }) => value),
          dataKnown: data.map(({ known }) => known),
        });
  return { state: made, begins: levels.isHigh(begins) };

  /** Whether an address bit moves, as far as that is known already. */
  function mayMove(signal: Signal): Bit {
    const glitch = step.isThorough ? step.changeOf(signal).glitch : FALSE;
    return graph.or(glitch, levels.mayDiffer(rest(signal), step.now(signal)));
  }

  function eitherOf(one: Level, other: Level): Level {
    return levels.choose(UNKNOWN_LEVEL, one, other);
  }

  function notePulses(): void {
    const signals = namesIn(write ?? { kind: "constant", value: 0 }).map((name) => structure.signalOf(chip, name));
    const changing = [...new Set(signals)].filter((signal) => ordering.canChange(signal));
    const glitches = changing.map((signal) => {
      const { glitch, stages } = step.changeOf(signal);
      const wanders =
        stages.length > 1 ? stages.slice(0, -1).map((stage) => levels.mayDiffer(stage, rest(signal))) : [];
      return graph.any([glitch, ...wanders.map((bit) => graph.and(bit, graph.not(step.changed(signal))))]);
    });
    const changed = changing.map((signal) => step.changed(signal));
    const both = changed.flatMap((one, index) => changed.slice(index + 1).map((other) => graph.and(one, other)));
    // Two controls that change at once may write for a moment between them.
    const opposed = both.length === 0 ? FALSE : graph.and(graph.any(both), mayWriteBetween(changing));
    const nets = changing.map(structure.nameOf);
    // A control that pulses writes nothing while another one holds the write shut.
    const moving = new Map(
      changing.map((signal, index) => [signal, graph.or(glitches[index] ?? FALSE, changed[index] ?? FALSE)]),
    );
    const { value, known } = levels.evaluate(
      write ?? { kind: "constant", value: 0 },
      at((signal) => {
        const now = step.now(signal);
        return { value: now.value, known: graph.and(now.known, graph.not(moving.get(signal) ?? FALSE)) };
      }),
    );
    const isShut = graph.and(known, graph.not(value));
    const when = graph.and(graph.any([...glitches, opposed]), graph.not(isShut));
    step.doubt({ kind: "pulse", when, place: chip.ref, nets });
  }

  function mayWriteBetween(changing: readonly Signal[]): Bit {
    if (changing.length > 4 || !write) return TRUE;
    const results = Array.from({ length: 1 << changing.length }, (_, mask) =>
      levels.evaluate(
        write,
        at((signal) => {
          const index = changing.indexOf(signal);
          return index >= 0 && ((mask >> index) & 1) === 0 ? rest(signal) : step.now(signal);
        }),
      ),
    );
    const differs = results.map((result) =>
      graph.and(levels.mayDiffer(result, before), levels.mayDiffer(result, after)),
    );
    return graph.any(differs);
  }
}
