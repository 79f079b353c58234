import { html, nothing, render } from "lit-html";
import type { Corners, EntryKind } from "../../bench/index.js";
import { appendix, notebookName } from "../../bench/notebook/append-entry.js";
import { entryLine } from "../../bench/notebook/entry.js";
import { readEntry } from "../../bench/notebook/read-notebook.js";
import { bringUpPart } from "./bring-up-part.js";
import { capturePart } from "./capture-part.js";
import { FaultRuns } from "./fault-runs.js";
import { galleryPart } from "./gallery-part.js";
import { notebookPart } from "./notebook-part.js";
import { type NotebookText, notebookPlace } from "./notebook-place.js";
import { photoPart } from "./photo-part.js";
import type { BenchAsk, BenchTold } from "./protocol.js";
import { firstCorners, readPhoto } from "./read-photo.js";
import { ScriptPage } from "../script-page.js";
import { takeAway } from "../take-away.js";
import { type Found, remembered } from "./remembered.js";
import { PageWorker } from "../page-worker.js";
import { startBenchWorker } from "./start-worker.js";
import { type BenchActions, type BenchState, emptyBench } from "./state.js";
import { suspectsPart } from "./suspects-part.js";

/** Milliseconds after a corner was moved until the photograph is compared. */
const PAUSE = 200;

/** Why isn't it working? What is known of the board, and the faults that explain it. */
export class BenchPage extends ScriptPage {
  #state: BenchState = emptyBench;
  readonly #worker = new PageWorker<BenchAsk, BenchTold>(
    () => startBenchWorker("bench"),
    (told) => this.#hear(told),
    (message) => this.#problem("circuit", `This could not be worked out: ${message}`),
  );
  #runs: FaultRuns | undefined;
  /** The first text of a page is simulated unasked; another only where somebody wants it. */
  #isUnasked = true;
  #pending: ReturnType<typeof setTimeout> | undefined;

  constructor() {
    super("div", "lab");
    this.root.addEventListener("dragover", (event) => event.preventDefault());
    this.root.addEventListener("drop", (event) => {
      event.preventDefault();
      const [file] = event.dataTransfer?.files ?? [];
      if (!file) return;
      if (file.type.startsWith("image/")) this.#actions.takePhoto(file);
      else this.#actions.takeCapture(file);
    });
  }

  protected changed(): void {
    this.#runs?.stop();
    this.#runs = undefined;
    this.#worker.end();
    const { photo, capture } = this.#state;
    this.#state = { ...emptyBench, ...(photo && { photo: { ...photo, matches: [] } }), ...(capture && { capture }) };
  }

  protected begin(): void {
    if (this.file && !this.#worker.isRunning) this.#worker.begin({ kind: "begin", file: this.file });
  }

  #ask(ask: BenchAsk): void {
    this.#worker.ask(ask);
  }

  #hear(told: BenchTold): void {
    switch (told.kind) {
      case "steps":
        this.#update({ steps: told.steps, title: told.title, found: remembered.read(told.title) });
        return void this.#keepNotebook(notebookPlace.read(told.title, this.#notebookName));
      case "ready":
        this.#update({ ready: told });
        return this.#run(told);
      case "cannot":
        return this.#problem(told.of, told.problem);
      case "judged":
        return this.#update({ judged: new Map(told.found) });
      case "gallery":
        return this.#update({ looks: told.looks, shown: told.shown });
      case "weighed":
        return this.#update({ weighed: told });
      case "captured":
        return this.#update({ captured: told });
      case "matched": {
        const { photo } = this.#state;
        if (!photo) return;
        const { looks: matches, cells: straight } = told;
        this.#update({ photo: { ...photo, matches, straight }, shown: matches });
      }
    }
  }

  /** What was found on the board before is known at once; then the faults come, from what is kept or from the workers. */
  #run({ key, total, known }: Extract<BenchTold, { kind: "ready" }>): void {
    const file = this.file;
    if (!file) return;
    this.#tellEvidence();
    if (this.#state.photo) this.#compare();
    if (this.#state.capture) this.#readCapture();
    const runs = new FaultRuns(
      { file, key, total, known },
      (piece) => {
        if (runs === this.#runs) this.#ask({ kind: "piece", piece });
      },
      () => {
        if (runs !== this.#runs) return;
        const { done, isRunning, isWhole, problem } = runs;
        if (isWhole && !this.#state.run?.isWhole) this.#ask({ kind: "whole" });
        this.#update({ run: { done, total, isRunning, isWhole, ...(problem !== undefined && { problem }) } });
      },
    );
    this.#runs = runs;
    void runs.recall().then(() => {
      if (runs === this.#runs && !runs.isWhole && this.#isUnasked) runs.start();
      this.#isUnasked = false;
    });
  }

  #update(change: Partial<BenchState>): void {
    this.#state = { ...this.#state, ...change };
    if (this.root.isConnected) this.paint();
  }

  #problem(of: keyof BenchState["problems"], problem: string | undefined): void {
    const { [of]: _, ...others } = this.#state.problems;
    this.#update({ problems: { ...others, ...(problem !== undefined && { [of]: problem }) } });
  }

  #remember(change: Partial<Found>): void {
    const found = { ...this.#state.found, ...change };
    this.#update({ found });
    const isKept = remembered.write(this.#state.title, found);
    this.#problem(
      "kept",
      isKept ? undefined : "This browser keeps nothing more: what you write here is gone when you leave.",
    );
    this.#tellEvidence();
  }

  #tellEvidence(): void {
    const { found, measured } = this.#state.found;
    this.#ask({ kind: "evidence", found: Object.entries(found), measured });
  }

  #compare(): void {
    const { photo } = this.#state;
    if (photo) this.#ask({ kind: "photo", photograph: photo.photograph, corners: photo.corners });
  }

  #readCapture(): void {
    const { capture } = this.#state;
    if (!capture) return;
    const { file, samplePeriod, nets } = capture;
    this.#ask({
      kind: "capture",
      capture: file,
      name: file.name,
      ...(samplePeriod !== undefined && { samplePeriod: samplePeriod * 1e-9 }),
      nets: Object.entries(nets).filter(([, net]) => net !== ""),
    });
  }

  async #takePhoto(file: File): Promise<void> {
    try {
      const photograph = await readPhoto(file);
      this.#problem("photo", undefined);
      this.#update({ photo: { name: file.name, photograph, corners: firstCorners(photograph), matches: [] } });
      this.#compare();
    } catch {
      this.#problem("photo", `${file.name} is no picture that this browser can read.`);
    }
  }

  #moveCorner(corner: number, x: number, y: number): void {
    const { photo } = this.#state;
    if (!photo) return;
    const { width, height } = photo.photograph;
    const place = [Math.max(0, Math.min(width - 1, x)), Math.max(0, Math.min(height - 1, y))] as const;
    const corners = photo.corners.map((old, index) => (index === corner ? place : old)) as unknown as Corners;
    this.#update({ photo: { ...photo, corners } });
    clearTimeout(this.#pending);
    this.#pending = setTimeout(() => this.#compare(), PAUSE);
  }

  get #notebookName(): string {
    return notebookName(this.file?.name ?? "board");
  }

  async #keepNotebook(asked: Promise<NotebookText>): Promise<boolean> {
    try {
      this.#update({ notebook: await asked });
      this.#problem("notebook", undefined);
      return true;
    } catch (error) {
      this.#problem("notebook", `The notebook: ${error instanceof Error ? error.message : String(error)}`);
      return false;
    }
  }

  async #note(noted: readonly (readonly [EntryKind, string])[]): Promise<boolean> {
    const entries = noted.map(([kind, text]) => readEntry(`${now()} ${kind} ${text.replaceAll(/\s+/g, " ").trim()}`));
    const [wrong] = entries.flatMap((entry) => ("message" in entry ? [entry.message] : []));
    if (wrong !== undefined) {
      this.#problem("notebook", `Not noted: ${wrong}.`);
      return false;
    }
    const good = entries.flatMap((entry) => ("message" in entry ? [] : [entry]));
    const { title } = this.#state;
    const added = (text: string) => text + appendix(text, good);
    return this.#keepNotebook(notebookPlace.add(title, this.#notebookName, good.map(entryLine), added));
  }

  #show(shown: readonly number[]): void {
    this.#update({ shown });
    this.#ask({ kind: "shows", looks: shown });
  }

  protected paint(): void {
    const { problems } = this.#state;
    render(
      html`${problems.kept === undefined ? "" : html`<p role="alert">${problems.kept}</p>`}
        <p class="small quiet">
          Limit the supply's current. A picture tube holds a dangerous charge: leave a monitor's inside to qualified
          people. An old monitor can be damaged by a wrong line rate.
        </p>
        ${suspectsPart(this.#state, this.#actions)} ${bringUpPart(this.#state, this.#actions)}
        ${galleryPart(this.#state, this.#actions)}
        ${this.#state.ready?.known.good.screens ? photoPart(this.#state, this.#actions) : nothing}
        ${capturePart(this.#state, this.#actions)} ${notebookPart(this.#state, this.#actions)}`,
      this.root,
    );
  }

  readonly #actions: BenchActions = {
    simulate: () => this.#runs?.start(),
    stop: () => {
      this.#runs?.stop();
      this.#ask({ kind: "whole" });
    },
    tick: (key, isDone) => {
      const others = this.#state.found.ticks.filter((one) => one !== key);
      this.#remember({ ticks: isDone ? [...others, key] : others });
    },
    find: (key, text) => {
      const { [key]: _, ...others } = this.#state.found.found;
      this.#remember({ found: text === "" ? others : { ...others, [key]: text } });
    },
    measure: (text) => {
      const place = placeOf(text);
      this.#remember({ measured: [...this.#state.found.measured.filter((one) => placeOf(one) !== place), text] });
    },
    forget: ({ text }) => {
      const { found, measured } = this.#state.found;
      const kept = Object.entries(found).filter(([key, value]) => `${key.split(" ")[0]}=${value}` !== text);
      this.#remember({ measured: measured.filter((one) => one !== text), found: Object.fromEntries(kept) });
    },
    show: (look, isShown) => {
      const others = this.#state.shown.filter((one) => one !== look);
      this.#show(isShown ? [...others, look] : others);
    },
    showNone: () => this.#show([]),
    open: (caption) => this.#update({ opened: [...this.#state.opened, caption] }),
    takePhoto: (file) => void this.#takePhoto(file),
    moveCorner: (corner, x, y) => this.#moveCorner(corner, x, y),
    dropPhoto: () => {
      const { photo: _, ...others } = this.#state;
      this.#state = others;
      this.#ask({ kind: "forget photo" });
    },
    takeCapture: (file) => {
      this.#problem("capture", undefined);
      this.#update({ capture: { file, nets: {} } });
      this.#readCapture();
    },
    changeCapture: (change) => {
      const { capture } = this.#state;
      if (!capture) return;
      this.#problem("capture", undefined);
      this.#update({ capture: { ...capture, ...change } });
      this.#readCapture();
    },
    note: (entries) => this.#note(entries),
    takeNotebook: () => {
      const { notebook } = this.#state;
      if (notebook) takeAway(notebook.name, new Blob([notebook.text], { type: "text/plain" }));
    },
    dropCapture: () => {
      const { capture: _, captured: __, ...others } = this.#state;
      this.#state = others;
      this.#ask({ kind: "capture", name: "", nets: [] });
      this.#problem("capture", undefined);
    },
  };
}

/** The pin of `U5.14=12.5 kHz`. */
function placeOf(measured: string): string {
  return measured.slice(0, measured.indexOf("=")).trim().toUpperCase();
}

/** The clock on the wall, to the minute. */
function now(): string {
  const date = new Date();
  const two = (value: number) => String(value).padStart(2, "0");
  const day = `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
  return `${day} ${two(date.getHours())}:${two(date.getMinutes())}`;
}
