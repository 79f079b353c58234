import type { Answering } from "./answering.js";
import type { DeskFile, Drawing, Told } from "./protocol.js";
import { addTakeAways, button } from "./take-aways.js";
import { Ticks } from "./ticks.js";

const [leastWidth, mostWidth, widest] = [620, 1400, 12_000];

/** What a page's content can do once it is in place: choosing verdicts, ticking wires, taking things away. */
export const decorate = { page, show };

/** What the page has room for, in px; a narrow one scrolls its drawings, so that their labels stay legible. */
export function drawingWidth(): number {
  const content = document.getElementById("page-content");
  return Math.max(leastWidth, Math.min(mostWidth, content?.clientWidth ?? mostWidth));
}

function page(content: HTMLElement, answering: Answering, title: string, saved: () => DeskFile): void {
  for (const button of content.querySelectorAll<HTMLButtonElement>("button[data-verdict]")) {
    button.addEventListener("click", () => {
      answering.ask({ kind: "choose", verdict: button.dataset["verdict"] ?? "", width: drawingWidth() - 46 });
    });
  }
  for (const button of content.querySelectorAll<HTMLButtonElement>("button[data-part]")) {
    button.addEventListener("click", () => answering.ask({ kind: "part", number: button.dataset["part"] ?? "" }));
  }
  const place = content.querySelector(".compared");
  const compare = (file: DeskFile) => {
    if (place) place.textContent = "Being compared.";
    void answering.compare(file);
  };
  content.querySelector("button[data-compare]")?.addEventListener("click", () => compare(saved()));
  content.querySelector("input[data-compare]")?.addEventListener("change", ({ target }) => {
    const [file] = (target as HTMLInputElement).files ?? [];
    if (file) void file.text().then((text) => compare({ ...saved(), name: file.name, text }));
  });
  tickable(content, title);
  addTakeAways(content);
  addWidths(content, answering);
}

/** Puts what was asked for where the page keeps room for it. */
function show(told: Extract<Told, { kind: "chosen" | "part" | "drawn" | "compared" }>, answering: Answering): void {
  if (told.kind === "compared") {
    const compared = document.querySelector<HTMLElement>("#page-content .compared");
    if (!compared) return;
    compared.innerHTML = told.html;
    addTakeAways(compared);
    return;
  }
  if (told.kind === "drawn") {
    const scroller = document.querySelector(`#page-content [data-wider="${told.drawing}"] .scrolling`);
    if (scroller && told.html !== "") scroller.innerHTML = told.html;
    return;
  }
  const place = document.querySelector<HTMLElement>("#page-content .chosen");
  if (!place) return;
  place.innerHTML = told.html;
  addTakeAways(place);
  addWidths(place, answering);
  place.focus({ preventScroll: true });
  place.scrollIntoView({ block: "start" });
}

/** Over every drawing of times: ways to draw it wider, in steps of a half, and whole again. */
function addWidths(content: HTMLElement, answering: Answering): void {
  for (const figure of content.querySelectorAll<HTMLElement>("[data-wider]")) {
    const drawing = figure.dataset["wider"] as Drawing;
    const whole = figure.querySelector("svg")?.width.baseVal.value ?? drawingWidth();
    let width = whole;
    const paragraph = document.createElement("p");
    paragraph.className = "widths small quiet";
    const draw = (next: number) => {
      width = Math.max(whole, Math.min(widest, next));
      answering.ask({ kind: "draw", drawing, verdict: figure.dataset["of"] ?? "", width });
    };
    paragraph.append(
      "Draw it ",
      button("wider", () => draw(width * 1.5)),
      " ",
      button("narrower", () => draw(width / 1.5)),
      " ",
      button("whole", () => draw(whole)),
    );
    figure.prepend(paragraph);
  }
}

function tickable(content: HTMLElement, title: string): void {
  const boxes = [...content.querySelectorAll<HTMLInputElement>("input[data-wire]")];
  if (boxes.length === 0) return;
  const ticks = new Ticks(title);
  const status = content.querySelector<HTMLElement>(".ticked");
  const count = () => {
    if (status) status.textContent = `${boxes.filter(({ checked }) => checked).length} of ${boxes.length} done.`;
  };
  for (const box of boxes) {
    const wire = box.dataset["wire"] ?? "";
    box.checked = ticks.has(wire);
    box.addEventListener("change", () => {
      ticks.set(wire, box.checked);
      count();
    });
  }
  count();
}
