import { Answering } from "./answering.js";
import { type Draft, DraftPlace, forgetOldDrafts } from "./draft.js";
import { Editor } from "./editor.js";
import { blank, exampleList, exampleNamed, firstExample } from "./examples/examples.js";
import { LivePage } from "./live/live-page.js";
import { carriesCircuit, circuitIn, linkTo } from "./link.js";
import { decorate, drawingWidth } from "./page-controls.js";
import { type Question, questions, type Told } from "./protocol.js";
import { makeReport } from "./report/report-maker.js";
import { ScriptPlace } from "./script-place.js";
import { fetchServed, followServed, isServed, saveServed, type ServedFile, servedIdentity } from "./served-file.js";
import { headings, paintPage, paintShell, type ShellActions } from "./shell.js";
import { after, answerTo, type DeskState, emptyState, type Notice } from "./state.js";
import { takeAway } from "./take-away.js";

/** Milliseconds without a keystroke after which the text is judged. */
const pause = 120;

class Desk {
  #state: DeskState = emptyState;
  readonly #place: DraftPlace;
  readonly #answering: Answering;
  readonly #editor: Editor;
  readonly #live = new LivePage();
  /** Pages that come with scripts of their own, by the place where they stand. */
  readonly #scripted = {
    ".plan-place": this.#scriptPlace("planning.js", "dotwrightPlan"),
    ".bears-place": this.#scriptPlace("planning.js", "dotwrightBears"),
    ".mends-place": this.#scriptPlace("planning.js", "dotwrightMends"),
    ".fill-place": this.#scriptPlace("fill.js", "dotwrightFill"),
    ".bench-place": this.#scriptPlace("bench.js", "dotwrightBench"),
  };
  #judgedText = "";
  /** The text as it was last saved or opened. */
  #saved = "";
  #served: ServedFile | undefined;
  /** The text in the editor is that of the served file, not of another that was opened meanwhile. */
  #isServedOpen = false;
  /** Told while the served file cannot be read. */
  #absence: Notice | undefined;
  #hasDraft = false;
  #pending: ReturnType<typeof setTimeout> | undefined;
  #shownHtml: string | undefined;

  #scriptPlace(script: string, name: string): ScriptPlace {
    return new ScriptPlace(script, name, {
      open: (draft) => this.#openMade(draft),
      change: (before, after) => {
        if (this.#editor.text !== before) return false;
        this.#editor.follow(after);
        return true;
      },
    });
  }

  constructor(place: DraftPlace, editorParent: HTMLElement) {
    this.#place = place;
    this.#answering = new Answering((told) => this.#hear(told));
    this.#editor = new Editor(
      editorParent,
      (text) => this.#typed(text),
      () => this.#state.names,
    );
    window.addEventListener("hashchange", () => this.#followHash());
    document.addEventListener("keydown", (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "s") return;
      event.preventDefault();
      this.#actions.save();
    });
  }

  /** Opens what the link carries, what the server watches, what was under way, or the example: the first that there is. */
  async begin(): Promise<void> {
    try {
      const linked = await circuitIn(location.hash);
      if (linked) {
        history.replaceState(null, "", location.pathname + location.search);
        this.#open(linked, "");
        return;
      }
    } catch (error) {
      history.replaceState(null, "", location.pathname + location.search);
      this.#notice({ text: messageOf(error), choices: [] });
    }
    this.#followHash();
    if (isServed()) return this.#beginServed();
    const draft = this.#place.read() ?? firstExample;
    const isExample = exampleList.some(({ name }) => name === draft.name);
    this.#open(
      draft,
      isExample
        ? await exampleNamed(draft.name).then(
            ({ text }) => text,
            () => "",
          )
        : "",
    );
  }

  async #beginServed(): Promise<void> {
    await this.#servedChanged();
    const kept = this.#place.read();
    if (kept && kept.text !== this.#served?.text) {
      const isSame = kept.name === this.#served?.name;
      this.#notice({
        text: isSame
          ? "An earlier visit left changes to this file that were not saved."
          : `An earlier visit left ${kept.name} under way, which was not saved.`,
        choices: [{ label: "Take up", run: () => (isSame ? this.#choose(kept.text) : this.#open(kept, "")) }],
      });
    }
    followServed(() => void this.#servedChanged());
  }

  /** The file was changed elsewhere: taken over at once where nothing was written here, asked about otherwise. */
  async #servedChanged(): Promise<void> {
    const now = await fetchServed().catch((error: unknown) => {
      this.#absence = { text: messageOf(error), choices: [] };
      this.#notice(this.#absence);
      return undefined;
    });
    if (!now) return;
    if (this.#state.notice === this.#absence) this.#update({ notice: undefined });
    const before = this.#served;
    this.#served = now;
    if (now.version === before?.version) {
      if (JSON.stringify(now.ownParts) !== JSON.stringify(before.ownParts)) this.#judge();
      return;
    }
    if (!before) return this.#open(now, now.text, true);
    if (!this.#isServedOpen) return;
    const isUntouched = this.#editor.text === before.text;
    this.#saved = now.text;
    if (isUntouched || this.#editor.text === now.text) {
      this.#choose(now.text);
      return;
    }
    this.#notice({
      text: "The file has been changed elsewhere, and you have changed it here. Saving writes yours over it.",
      choices: [{ label: "Take the file's text (undo brings yours back)", run: () => this.#choose(now.text) }],
    });
  }

  #choose(text: string): void {
    this.#update({ notice: undefined, isUnsaved: text !== this.#saved });
    if (text !== this.#editor.text) this.#editor.follow(text);
  }

  #open({ name, text }: Draft, saved: string, isServedFile = false): void {
    this.#isServedOpen = isServedFile;
    this.#saved = saved;
    this.#update({ fileName: name, answers: {}, title: undefined, isUnsaved: text !== saved });
    if (this.#editor.text !== text) this.#editor.replace(text);
    clearTimeout(this.#pending);
    this.#judge();
  }

  /** Opens a text that was made here, and offers what it takes the place of where that was not saved. */
  #openMade(made: Draft): void {
    const [before, saved, isServedFile] = [this.#editor.text, this.#saved, this.#isServedOpen];
    const { fileName: name, isUnsaved } = this.#state;
    this.#open(made, "");
    if (!isUnsaved) return;
    const back = () => {
      this.#update({ notice: undefined });
      this.#open({ name, text: before }, saved, isServedFile);
    };
    this.#notice({
      text: `${made.name} stands in the editor. ${name} was not saved to a file.`,
      choices: [{ label: `Take ${name} back`, run: back }],
    });
  }

  #typed(text: string): void {
    const isUnsaved = text !== this.#saved;
    const isKept = this.#keep(text, isUnsaved);
    this.#update({ isUnsaved });
    if (!isKept && isUnsaved) {
      this.#notice({ text: "This browser keeps nothing more: save the file before you close the page.", choices: [] });
    }
    clearTimeout(this.#pending);
    this.#pending = setTimeout(() => this.#judge(), pause);
  }

  /** Keeps the text as a draft, unless the served file holds the same. False where the browser keeps nothing more. */
  #keep(text: string, isUnsaved: boolean): boolean {
    if (!this.#isServedOpen || isUnsaved) {
      this.#hasDraft = true;
      return this.#place.write({ name: this.#state.fileName, text }, Date.now());
    }
    // What an earlier visit left stays until the reader has chosen.
    if (this.#hasDraft) this.#place.clear();
    return true;
  }

  #judge(): void {
    const ownParts = this.#served?.ownParts;
    const file = { name: this.#state.fileName, text: this.#editor.text, ...(ownParts && { ownParts }) };
    this.#judgedText = file.text;
    const revision = this.#answering.judge(file, drawingWidth());
    this.#update({ revision });
  }

  #hear(told: Told): void {
    if (told.kind === "chosen" || told.kind === "part" || told.kind === "drawn" || told.kind === "compared") {
      decorate.show(told, this.#answering);
      return;
    }
    if (told.kind === "report") {
      void this.#makeReport(told);
      return;
    }
    if (told.kind === "layout") {
      this.#live.use({ name: this.#state.fileName, text: this.#judgedText }, told.layout);
      return;
    }
    this.#state = after(this.#state, told);
    if (told.kind === "read") {
      this.#editor.underline(told.problems);
      const ownParts = this.#served?.ownParts;
      const file = { name: this.#state.fileName, text: this.#judgedText, ...(ownParts && { ownParts }) };
      if (told.title !== undefined) for (const page of Object.values(this.#scripted)) page.use(file);
    }
    this.#paint();
  }

  #update(change: Partial<DeskState>): void {
    this.#state = { ...this.#state, ...change };
    this.#paint();
  }

  #notice(notice: Notice): void {
    this.#update({ notice });
  }

  #paint(): void {
    const { page, title } = this.#state;
    document.title = `${title ?? "Dotwright"}: ${headings[page]}`;
    paintShell(this.#state, this.#actions);
    const answer = answerTo(this.#state, page);
    const shown = answer ? `${page}\n${answer.html}` : page;
    if (shown === this.#shownHtml) return;
    this.#shownHtml = shown;
    paintPage(answer);
    const content = document.getElementById("page-content");
    if (!content) return;
    decorate.page(content, this.#answering, title ?? "", () => {
      const ownParts = this.#served?.ownParts;
      return { name: "the saved text", text: this.#saved, ...(ownParts && { ownParts }) };
    });
    const place = content.querySelector<HTMLElement>(".live-place");
    if (place) this.#live.mount(place);
    else this.#live.leave();
    for (const [name, scripted] of Object.entries(this.#scripted)) {
      const there = content.querySelector<HTMLElement>(name);
      if (there) scripted.mount(there);
      else scripted.leave();
    }
  }

  #followHash(): void {
    const asked = location.hash.slice(1) as Question;
    if (!questions.includes(asked)) return;
    const isOther = asked !== this.#state.page;
    this.#update({ page: asked });
    if (!isOther) return;
    document.getElementById("leaf")?.scrollTo(0, 0);
    document.getElementById("page-heading")?.focus({ preventScroll: true });
  }

  readonly #actions: ShellActions = {
    newFile: () => this.#open(blank, blank.text),
    open: (file) => void file.text().then((text) => this.#open({ name: file.name, text }, text)),
    example: (name) =>
      void exampleNamed(name).then(
        (found) => this.#open(found, found.text),
        (error: unknown) => this.#notice({ text: messageOf(error), choices: [] }),
      ),
    save: () => void this.#save(),
    share: () => void this.#share(),
    report: () => {
      if (this.#answering.isBusy) this.#notice({ text: "The report comes when all is worked out.", choices: [] });
      this.#answering.ask({ kind: "report" });
    },
    goTo: (line, column) => this.#editor.goTo(line, column),
    dismiss: () => this.#update({ notice: undefined }),
  };

  async #makeReport({ file, answered }: Extract<Told, { kind: "report" }>): Promise<void> {
    if (!file || !answered) {
      this.#notice({ text: "A file with mistakes has no report.", choices: [] });
      return;
    }
    try {
      const html = await makeReport(file, answered, (label) =>
        this.#notice({ text: `The report: ${label}.`, choices: [] }),
      );
      takeAway(`${file.name.replace(/(\.circuit)?\.ya?ml$/i, "")}.report.html`, htmlFile(html));
      this.#update({ notice: undefined });
    } catch (error) {
      this.#notice({ text: `No report: ${messageOf(error)}`, choices: [] });
    }
  }

  async #save(): Promise<void> {
    const text = this.#editor.text;
    const served = this.#served;
    if (!served || !this.#isServedOpen) {
      takeAway(this.#state.fileName, new Blob([text], { type: "application/yaml" }));
      this.#saved = text;
      this.#update({ isUnsaved: false });
      return;
    }
    try {
      const version = await saveServed(text, served.version);
      if (version === undefined) {
        await this.#servedChanged();
        return;
      }
      this.#served = { ...served, text, version };
      this.#saved = text;
      this.#place.clear();
      this.#update({ isUnsaved: this.#editor.text !== text });
    } catch (error) {
      this.#notice({ text: messageOf(error), choices: [] });
    }
  }

  async #share(): Promise<void> {
    const link = await linkTo({ name: this.#state.fileName, text: this.#editor.text }, location.href);
    try {
      await navigator.clipboard.writeText(link);
      this.#notice({ text: "The link is copied. It carries the whole circuit; no server sees it.", choices: [] });
    } catch {
      history.replaceState(null, "", link);
      this.#notice({ text: "The link stands in the address line: copy it from there.", choices: [] });
    }
  }
}

function htmlFile(text: string): Blob {
  return new Blob([text], { type: "text/html" });
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

const parent = document.getElementById("editor");
if (parent) {
  void forgetOldDrafts();
  // A circuit that comes with a link leaves what is under way elsewhere alone.
  const place = carriesCircuit(location.hash) ? DraftPlace.fresh(undefined) : DraftPlace.take(servedIdentity());
  void place.then((taken) => new Desk(taken, parent).begin());
}
