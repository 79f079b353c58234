import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Circuit, NetId } from "../../src/circuit/circuit.js";
import type { Machine } from "../../src/simulation/index.js";
import { netOf } from "../support/build-circuit.js";

/** The user's functions, which write down what is asked of them. */
const recorder = `#include <stdio.h>
void dw_set_pin(unsigned char pin);
void dw_clear_pin(unsigned char pin);
void dw_wait_ns(unsigned long nanoseconds);
void dw_wait_for_blanking(void);
void dw_load(void);
void dw_set_pin(unsigned char pin) { printf("1 %u\\n", (unsigned)pin); }
void dw_clear_pin(unsigned char pin) { printf("0 %u\\n", (unsigned)pin); }
void dw_wait_ns(unsigned long nanoseconds) { printf("w %lu\\n", nanoseconds); }
void dw_wait_for_blanking(void) { printf("b 0\\n"); }
int main(void) { dw_load(); return 0; }
`;

/** What a run of the C asks for, call by call. */
export type Call =
  | { readonly kind: "pin"; readonly net: NetId; readonly level: 0 | 1 }
  | { readonly kind: "wait"; readonly nanoseconds: number }
  | { readonly kind: "blanking" };

/** Compiles C by the C99 standard with every warning an error, runs it, and gives what it prints. */
function run(files: Readonly<Record<string, string>>, options: readonly string[] = []): string {
  const folder = mkdtempSync(join(tmpdir(), "loading-"));
  try {
    const sources = Object.entries(files).map(([name, text]) => {
      writeFileSync(join(folder, name), text);
      return join(folder, name);
    });
    const program = join(folder, "load");
    const warnings = ["-std=c99", "-Wall", "-Wextra", "-pedantic", "-Werror"];
    execFileSync("cc", [...warnings, ...options, "-o", program, ...sources], { stdio: "pipe" });
    return execFileSync(program, { encoding: "utf8", maxBuffer: 1 << 28 });
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** What a run of the C asks for. */
export function runC(circuit: Circuit, source: string): readonly Call[] {
  const pins = [...source.matchAll(/^#define DW_\w+ (\d+)u \/\* (\S+) \*\/$/gm)].map(
    ([, , name = ""]) => netOf(circuit, name).id,
  );
  const lines = run({ "load.c": source, "main.c": recorder }).trim().split("\n");
  return lines.map((line): Call => {
    const [what = "", number = ""] = line.split(" ");
    if (what === "w") return { kind: "wait", nanoseconds: Number(number) };
    if (what === "b") return { kind: "blanking" };
    const net = pins[Number(number)];
    if (net === undefined) throw new Error(`no pin ${number}`);
    return { kind: "pin", net, level: what === "1" ? 1 : 0 };
  });
}

/** What a memory of so many bytes, all 0 before, holds when the C of a processor on its bus has run. */
export function runMemoryC(source: string, size: number): Uint8Array {
  const memory = `extern unsigned char dw_test_memory[${size}];\n#define DW_MEMORY dw_test_memory\n`;
  const main = `#include <stdio.h>
unsigned char dw_test_memory[${size}];
void dw_load(void);
int main(void) {
    unsigned at;
    dw_load();
    for (at = 0; at < ${size}; at++) printf("%02x", (unsigned)dw_test_memory[at]);
    return 0;
}
`;
  return new Uint8Array(Buffer.from(run({ "load.c": `${memory}${source}`, "main.c": main }), "hex"));
}

/** Does on a circuit that runs what a run of the C asks for; `toBlanking` lets it run until a vertical blanking begins. */
export function play(machine: Machine, calls: readonly Call[], toBlanking: () => void = () => undefined): void {
  // Odd, so that a change does not fall on an edge of the oscillator.
  let time = machine.now + 1_137_311;
  for (const call of calls) {
    if (call.kind === "wait") machine.run((time += call.nanoseconds * 1e6) - 1);
    else if (call.kind === "pin") machine.drive(call.net, (time += 1000), call.level);
    else {
      machine.run(time);
      toBlanking();
      time = Math.max(time, machine.now + 1_137_311);
    }
  }
  machine.run(time + 1e9);
}
