/**
 * A circuit as a C program, for comparison: every net a variable, every chip a statement of its own for each oscillator edge
 * that can reach it, in the order of cause and effect. Nothing is known beforehand and nothing left out.
 */
import type { Expression } from "../src/parts/index.js";
import { CauseGraph } from "../src/simulation/compiled/causes.js";
import { clusterParts } from "../src/simulation/compiled/cluster-parts.js";
import { movesOf, type OutsideChange } from "../src/simulation/compiled/step-code.js";
import { StepPlan } from "../src/simulation/compiled/step-plan.js";
import { type Signal, type Structure, structureOf } from "../src/simulation/compiled/structure.js";
import type { Chip, Circuit, NetId } from "../src/circuit/circuit.js";

export interface CProgram {
  /** Levels of all signals and contents of the memory at the begin. */
  readonly start: (signal: Signal) => 0 | 1;
  readonly contents: Uint8Array;
  /** Changes of inputs in each frame: after so many edges of it, in order. */
  readonly inputs: readonly { readonly edge: number; readonly net: NetId; readonly value: 0 | 1 }[];
  readonly edgesPerFrame: number;
  readonly recorded: readonly NetId[];
}

/** The text of the program. It is given the number of frames, and prints seconds and, for each recorded net, edges spent high. */
export function translateToC(circuit: Circuit, program: CProgram): string {
  const structure = structureOf(circuit);
  const causes = new CauseGraph(structure);
  const oscillator = structure.sources.findIndex((source) => source.oscillator);
  const functionFor = (name: string, change: OutsideChange, set: string) =>
    new FunctionText(structure, new StepPlan(causes, movesOf(structure, [change]))).text(name, set);
  const clock = variable(structure.sources[oscillator]?.signal ?? 0);
  const signals = Array.from({ length: structure.signalCount }, (_, signal) => signal);
  const { inputs, recorded, edgesPerFrame } = program;
  const samples = recorded.map((net, index) => `${variable(net)} << ${index}`).join(" | ");
  return `#include <stdio.h>
#include <stdlib.h>
#include <time.h>

${signals.map((signal) => `static unsigned char ${variable(signal)} = ${levelOf(structure, signal, program)};`).join("\n")}
${structure.memories.map((_, memory) => `static unsigned char memory${memory}[] = {${program.contents.join(",")}};`).join("\n")}
static unsigned char record[${edgesPerFrame}];

${functionFor("rise", { source: oscillator, edge: 0 }, `${clock} = 1;`)}
${functionFor("fall", { source: oscillator, edge: 1 }, `${clock} = 0;`)}
${functionFor("inputs", { inputs: true }, "")}
struct input { int edge; unsigned char *of; unsigned char value; };
static const struct input planned[] = {
${inputs
  .map(
    ({ edge, net, value }) =>
      `  {${edge}, &${variable(structure.sources[structure.sourceOf(net) ?? 0]?.signal ?? 0)}, ${value}},`,
  )
  .join("\n")}
  {-1, 0, 0}
};

int main(int count, char **arguments) {
  const int frames = count > 1 ? atoi(arguments[1]) : 1;
  unsigned long long high[${recorded.length}] = {0};
  const clock_t begun = clock();
  for (int frame = 0; frame < frames; frame++) {
    const struct input *next = planned;
    for (int edge = 0; edge < ${edgesPerFrame}; edge++) {
      if (next->edge == edge) {
        while (next->edge == edge) { *next->of = next->value; next++; }
        inputs();
      }
      if (edge & 1) fall(); else rise();
      record[edge] = ${samples};
    }
    for (int edge = 0; edge < ${edgesPerFrame}; edge++) {
${recorded.map((_, index) => `      high[${index}] += record[edge] >> ${index} & 1;`).join("\n")}
    }
  }
  printf("%.6f", (double)(clock() - begun) / CLOCKS_PER_SEC);
${recorded.map((_, index) => `  printf(" %llu", high[${index}]);`).join("\n")}
  printf("\\n");
  return 0;
}
`;
}

function levelOf(structure: Structure, signal: Signal, { start }: CProgram): 0 | 1 {
  const rail = structure.circuit.nets[signal]?.rail;
  return rail ? (rail === "high" ? 1 : 0) : start(signal);
}

function variable(signal: Signal): string {
  return `s${signal}`;
}

/** One function: all that can follow from one outside change. */
class FunctionText {
  private readonly structure: Structure;
  private readonly plan: StepPlan;
  /** Signals of which the level before is needed. */
  private readonly old = new Set<Signal>();

  constructor(structure: Structure, plan: StepPlan) {
    this.structure = structure;
    this.plan = plan;
  }

  text(name: string, set: string): string {
    const done = new Set<Signal>();
    const lines = this.plan.parts.flatMap((part): readonly string[] => {
      if (part.kind === "net") {
        const line = this.net(part.net);
        done.add(part.net);
        return [line];
      }
      if (part.kind === "memory") return this.memory(part.memory);
      if (part.kind === "cluster") return this.cluster(part.cluster, done);
      throw new RangeError("loops are not translated");
    });
    const before = [...this.old].map(
      (signal) => `  const unsigned char old_${variable(signal)} = ${variable(signal)};`,
    );
    return `static void ${name}(void) {\n${[...before, `  ${set}`, ...lines.map((line) => `  ${line}`)].join("\n")}\n}\n`;
  }

  private net(net: Signal): string {
    const { structure } = this;
    const drivers = (structure.driversOf[net] ?? []).flatMap((index) => structure.drivers[index] ?? []);
    const values = drivers.map((driver) => {
      if (driver.kind === "source") return variable(structure.sources[driver.source]?.signal ?? 0);
      if (driver.kind === "logic") {
        const value = this.expression(driver.chip, driver.value);
        return driver.enable ? `(${this.expression(driver.chip, driver.enable)} & ${value})` : value;
      }
      const port = structure.ports[driver.port];
      if (!port) return "0";
      const write = port.write ? ` & !${this.expression(port.chip, port.write)}` : "";
      const word = `memory${port.memory}[${address(port.address)}]`;
      return `(${this.expression(port.chip, port.read)}${write} & ${word} >> ${driver.bit} & 1)`;
    });
    return `${variable(net)} = ${values.join(" | ") || "0"};`;
  }

  private memory(memory: number): readonly string[] {
    const { structure } = this;
    return (structure.memories[memory]?.ports ?? []).flatMap((index) => {
      const port = structure.ports[index];
      if (!port?.write) return [];
      const data = port.data.map((signal, bit) => `${variable(signal)} << ${bit}`).join(" | ");
      return [`if (${this.expression(port.chip, port.write)}) memory${memory}[${address(port.address)}] = ${data};`];
    });
  }

  private cluster(index: number, done: ReadonlySet<Signal>): readonly string[] {
    const { structure } = this;
    const cluster = structure.clusters[index];
    if (!cluster) return [];
    const { members, strobes } = clusterParts(structure, cluster);
    /** A level as it was before: of what is not worked out yet that is what is there. */
    const before = (signal: Signal): string => {
      if (!done.has(signal)) return variable(signal);
      this.old.add(signal);
      return `old_${variable(signal)}`;
    };
    const taken: string[] = [];
    const put: string[] = [];
    for (const { signal, storage, edge, level } of members) {
      if (storage.kind === "register" && edge) {
        const clock = (of: (signal: Signal) => string) => this.expression(cluster.chip, storage.clock, of);
        const data = this.expression(cluster.chip, edge, (one) =>
          strobes.includes(one) ? variable(one) : before(one),
        );
        taken.push(
          `const unsigned char next_${variable(signal)} = !${clock(before)} & ${clock(variable)} ? ${data} : ${variable(signal)};`,
        );
        put.push(`${variable(signal)} = next_${variable(signal)};`);
      }
      if (level) put.push(`${variable(signal)} = ${this.expression(cluster.chip, level)};`);
    }
    return [...taken, ...put];
  }

  private expression(chip: Chip, expression: Expression, of: (signal: Signal) => string = variable): string {
    const visit = (e: Expression): string => {
      switch (e.kind) {
        case "constant":
          return String(e.value);
        case "name":
          return of(this.structure.signalOf(chip, e.name));
        case "not":
          return `!${visit(e.of)}`;
        case "and":
          return `(${visit(e.left)} & ${visit(e.right)})`;
        case "or":
          return `(${visit(e.left)} | ${visit(e.right)})`;
        case "xor":
          return `(${visit(e.left)} ^ ${visit(e.right)})`;
        case "choose":
          return `(${visit(e.when)} ? ${visit(e.then)} : ${visit(e.otherwise)})`;
      }
    };
    return visit(expression);
  }
}

function address(signals: readonly Signal[]): string {
  return signals.map((signal, bit) => `${variable(signal)} << ${bit}`).join(" | ");
}
