import { html, nothing, type TemplateResult } from "lit-html";
import { keyed } from "lit-html/directives/keyed.js";
import type { BuildStyle } from "../../circuit/index.js";
import type { WishKey, WishTexts } from "../../planning/index.js";
import { SHARING_KINDS } from "../../planning/search/sharing-costs.js";

/** A wish that is written into a line. */
interface Line {
  readonly key: WishKey;
  readonly label: string;
  /** What may be written, and what counts where nothing is. */
  readonly hint: string;
  readonly kind?: "list" | "count";
}

/** Wishes of which any of several words may hold. */
interface Choice {
  readonly key: WishKey;
  readonly label: string;
  readonly choices: readonly (readonly [value: string, label: string])[];
}

const had: readonly Line[] = [
  {
    key: "rasters",
    label: "Rasters of the monitor",
    hint: "640x480@60, 800x600@60",
    kind: "list",
  },
  { key: "monitor", label: "Or the rates that it follows", hint: "30-83 kHz, 50-76 Hz" },
  {
    key: "oscillators",
    label: "Oscillators in the drawer",
    hint: "25.175 MHz; stock ones if empty",
    kind: "list",
  },
  { key: "memory", label: "Static RAMs", hint: "62256-70; any in DIP if empty", kind: "list" },
];
const logic: Choice = {
  ...{ key: "families", label: "Logic" },
  choices: [
    ["HC", "74HC"],
    ["fast", "fast (74ACT, 74ALS, 74AHCT)"],
  ],
};
const wanted: readonly Line[] = [
  { key: "picture", label: "Picture, in dots", hint: "320 x 240; the largest if empty" },
  { key: "text", label: "Or text, in characters", hint: "40 x 25" },
  { key: "chips", label: "Chips at most", hint: "30, with the oscillator", kind: "count" },
  { key: "write rate", label: "Writes, at least", hint: "300 kB/s" },
  { key: "longest wait", label: "Longest wait for a write", hint: "4 us" },
  { key: "margin", label: "Margin, at least", hint: "5 ns" },
];
const depth: Choice = {
  ...{ key: "bits", label: "Bits a dot" },
  choices: [1, 2, 4, 8].map((bits) => [String(bits), String(bits)] as const),
};
const sharing: Choice = {
  ...{ key: "sharing", label: "How the processor gets in" },
  choices: SHARING_KINDS.map((kind) => [kind, kind] as const),
};
/** The first is what counts where nothing is said. */
const builds: readonly BuildStyle[] = ["breadboard", "perfboard", "printed board"];
const more: readonly Line[] = [
  { key: "memory left", label: "Memory left, at least", hint: "4 KiB" },
  { key: "deviation", label: "Off the raster's rates, at most", hint: "0.5 % if empty" },
  { key: "lines", label: "Lines a frame", hint: "262; the raster's if empty", kind: "count" },
  { key: "character", label: "Dots of a character", hint: "8 x 16; any if empty" },
  { key: "character ROM", label: "ROM of the characters", hint: "27C256-70 if empty" },
  { key: "processor", label: "Processor", hint: "W65C02S if empty" },
  { key: "supply", label: "Supply", hint: "5 V ± 5 % if empty" },
  { key: "ambient", label: "Air temperature", hint: "0 to 50 °C if empty" },
];

/** What was read wrongly, by wish. */
export type Misreadings = ReadonlyMap<WishKey, string>;

/** What the builder has and wants, to fill in. A form of another `version` is filled anew. */
export function wishForm(texts: WishTexts, wrong: Misreadings, version: number, submit: () => void): TemplateResult {
  const submitted = (event: Event) => {
    event.preventDefault();
    submit();
  };
  const line = (one: Line) => lineOf(one, texts, wrong);
  const isOfMore = (key: WishKey) => more.some((one) => one.key === key);
  const isOpen = [...wrong.keys(), ...(Object.keys(texts) as WishKey[])].some(isOfMore);
  return html`${keyed(
    version,
    html`<form class="wishes" id="wishes" @submit=${submitted}>
      <fieldset>
        <legend>You have</legend>
        <div class="fields">${had.map(line)} ${choiceOf(logic, texts)}</div>
      </fieldset>
      <fieldset>
        <legend>You want</legend>
        <div class="fields">${wanted.map(line)} ${choiceOf(depth, texts)} ${choiceOf(sharing, texts)}</div>
      </fieldset>
      <details ?open=${isOpen}>
        <summary>More wishes</summary>
        <div class="fields">
          ${more.map(line)}
          <p class="field">
            <label for="wish-build">Built on</label>
            <select id="wish-build" name="build">
              ${builds.map((style) => html`<option ?selected=${style === texts.build}>${style}</option>`)}
            </select>
          </p>
          <p class="field">
            <label
              ><input type="checkbox" name="composite" ?checked=${texts.composite === true} /> composite video at a
              television's line rate</label
            >
          </p>
        </div>
      </details>
    </form>`,
  )}`;
}

function lineOf({ key, label, hint, kind }: Line, texts: WishTexts, wrong: Misreadings): TemplateResult {
  const id = `wish-${key.replaceAll(" ", "-")}`;
  const value = texts[key];
  const misread = wrong.get(key);
  return html`<p class="field">
    <label for=${id}>${label}</label>
    <input
      id=${id}
      name=${key}
      value=${Array.isArray(value) ? value.join(", ") : String(value ?? "")}
      inputmode=${kind === "count" ? "numeric" : "text"}
      autocomplete="off"
      spellcheck="false"
      aria-invalid=${misread === undefined ? nothing : "true"}
      aria-describedby="${id}-hint"
    />
    <span class="small ${misread === undefined ? "quiet" : "fails"}" id="${id}-hint">${misread ?? hint}</span>
  </p>`;
}

function choiceOf({ key, label, choices }: Choice, texts: WishTexts): TemplateResult {
  const chosen = [texts[key] ?? []].flat().map(String);
  return html`<p class="field row" role="group" aria-labelledby="wish-${key}">
    <span id="wish-${key}">${label} <span class="small quiet">any if none is ticked</span></span>
    <span class="boxes"
      >${choices.map(
        ([value, words]) =>
          html`<label
            ><input type="checkbox" name=${key} value=${value} ?checked=${chosen.includes(value)} /> ${words}</label
          > `,
      )}</span
    >
  </p>`;
}

/** The wishes as they stand in a form, and what is no number there. */
export function wishesIn(form: HTMLFormElement): { readonly texts: WishTexts; readonly wrong: Misreadings } {
  const data = new FormData(form);
  const words = (key: WishKey) => data.getAll(key).filter((one): one is string => typeof one === "string");
  const texts: Partial<Record<WishKey, unknown>> = {};
  const wrong = new Map<WishKey, string>();
  for (const { key, kind } of [...had, ...wanted, ...more]) {
    const text = words(key)[0]?.trim() ?? "";
    if (text === "") continue;
    if (kind === "list") texts[key] = text.split(",").map((one) => one.trim());
    else if (kind !== "count") texts[key] = text;
    else if (/^\d{1,6}$/.test(text)) texts[key] = Number(text);
    else wrong.set(key, `'${text.slice(0, 40)}' is no whole number`);
  }
  for (const { key } of [logic, sharing]) if (words(key).length > 0) texts[key] = words(key);
  if (words("bits").length > 0) texts.bits = words("bits").map(Number);
  if (data.has("composite")) texts.composite = true;
  const [build] = words("build");
  if (build !== undefined && build !== builds[0]) texts.build = build;
  // What each key holds was made so above.
  return { texts: texts as WishTexts, wrong };
}
