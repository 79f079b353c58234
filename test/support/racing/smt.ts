import { Z3_error_code, Z3_lbool, init } from "z3-solver";

/** A Boolean term of the solver. */
export type Condition = string;
export const TRUE: Condition = "true";
export const FALSE: Condition = "false";

export function and(...parts: readonly Condition[]): Condition {
  const own = [...new Set(parts)].filter((part) => part !== TRUE);
  if (own.includes(FALSE)) return FALSE;
  return own.length === 0 ? TRUE : own.length === 1 ? (own[0] ?? TRUE) : `(and ${own.join(" ")})`;
}

export function or(...parts: readonly Condition[]): Condition {
  const own = [...new Set(parts)].filter((part) => part !== FALSE);
  if (own.includes(TRUE)) return TRUE;
  return own.length === 0 ? FALSE : own.length === 1 ? (own[0] ?? FALSE) : `(or ${own.join(" ")})`;
}

export function not(part: Condition): Condition {
  return part === TRUE ? FALSE : part === FALSE ? TRUE : `(not ${part})`;
}

/** A term of the names in it and whole numbers. */
export function sum(...terms: readonly string[]): string {
  const own = terms.filter((term) => term !== "0");
  return own.length === 0 ? "0" : own.length === 1 ? (own[0] ?? "0") : `(+ ${own.join(" ")})`;
}

export function whole(value: number): string {
  return value < 0 ? `(- ${-value})` : String(value);
}

/** Names with what is asserted of each; only what a question rests on is handed to the solver. */
export class Definitions {
  readonly #texts = new Map<string, string>();
  #count = 0;

  /** A new name of that sort; say what it is with `assert`. */
  fresh(letter: string, sort: "Bool" | "Real"): string {
    const name = `${letter}${this.#count++}`;
    this.#texts.set(name, `(declare-const ${name} ${sort})`);
    return name;
  }

  assert(name: string, condition: Condition): void {
    if (condition !== TRUE) this.#texts.set(name, `${this.#texts.get(name) ?? ""}(assert ${condition})`);
  }

  /** Declarations and assertions of all that a term rests on. */
  restingOn(term: string): string {
    const found = new Set<string>();
    const lines: string[] = [];
    const visit = (text: string) => {
      for (const name of text.match(/\b[a-z]\d+\b/g) ?? []) {
        if (found.has(name)) continue;
        found.add(name);
        const own = this.#texts.get(name) ?? "";
        lines.push(own);
        visit(own);
      }
    };
    visit(term);
    const declared = lines.flatMap((line) => line.match(/\(declare-const [^)]*\)/) ?? []);
    return [...declared, ...lines.map((line) => line.replace(/\(declare-const [^)]*\)/, ""))].join("\n");
  }
}

/** Decides whether terms can be met. */
export interface Solver {
  /** Whether each of the conditions, by itself, can be met together with the assertions. */
  areMet(assertions: string, conditions: readonly Condition[]): Promise<readonly boolean[]>;
  close(): void;
}

export async function openSolver(): Promise<Solver> {
  const api = await init();
  const { Z3 } = api;
  const context = Z3.mk_context(Z3.mk_config());
  const read = (solver: ReturnType<typeof Z3.mk_solver>, text: string) => {
    Z3.solver_from_string(context, solver, text);
    const code = Z3.get_error_code(context);
    if (code !== Z3_error_code.Z3_OK) throw new Error(`${Z3.get_error_msg(context, code)}: ${text}`);
  };
  return {
    async areMet(assertions, conditions) {
      const answers: boolean[] = [];
      const solver = Z3.mk_solver_for_logic(context, Z3.mk_string_symbol(context, "QF_LRA"));
      Z3.solver_inc_ref(context, solver);
      read(solver, assertions);
      for (const condition of conditions) {
        Z3.solver_push(context, solver);
        read(solver, `(assert ${condition})`);
        const answer = await Z3.solver_check(context, solver);
        if (answer === Z3_lbool.Z3_L_UNDEF) throw new Error(`the solver does not know: ${condition}`);
        answers.push(answer === Z3_lbool.Z3_L_TRUE);
        Z3.solver_pop(context, solver, 1);
      }
      Z3.solver_dec_ref(context, solver);
      return answers;
    },
    close() {
      const { em } = api as unknown as { readonly em: { readonly PThread?: { terminateAllThreads(): void } } };
      em.PThread?.terminateAllThreads();
    },
  };
}
