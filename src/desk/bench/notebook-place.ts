import { isServed } from "../served-file.js";

/** A notebook as it stands, under the name of its file. */
export interface NotebookText {
  readonly name: string;
  readonly text: string;
}

const prefix = "dotwright.notebook.";

/**
 * Where the notebook is kept: beside the served circuit file by the desk's own server, else in the browser under the circuit's
 * title. What is kept is only ever added to.
 */
export const notebookPlace = {
  async read(title: string, name: string): Promise<NotebookText> {
    if (!isServed()) return { name, text: localStorage.getItem(prefix + title) ?? "" };
    return answered(await fetch("notebook", { cache: "no-store" }));
  },
  /** `added` makes the new text of the old one, where the browser keeps it. */
  async add(
    title: string,
    name: string,
    lines: readonly string[],
    added: (text: string) => string,
  ): Promise<NotebookText> {
    if (isServed()) {
      const body = JSON.stringify({ lines });
      return answered(
        await fetch("notebook", { method: "POST", headers: { "content-type": "application/json" }, body }),
      );
    }
    // Another page may have added to it meanwhile.
    const text = added(localStorage.getItem(prefix + title) ?? "");
    localStorage.setItem(prefix + title, text);
    return { name, text };
  },
};

async function answered(response: Response): Promise<NotebookText> {
  if (!response.ok) throw new Error(await response.text());
  return (await response.json()) as NotebookText;
}
