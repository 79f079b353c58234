import { BadInput } from "./bad-input.js";

/** Does what may refuse a circuit: the refusal is told as a mistake in its file. */
export async function fromCircuit<T>(file: string, work: () => T | Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput(`${file}: ${error.message}`);
    throw error;
  }
}
