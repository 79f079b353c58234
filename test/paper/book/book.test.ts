import { describe, expect, test } from "vitest";
import { blockDiagram, blocksOf, pinDiagram } from "../../../src/paper/diagram/index.js";
import { report } from "../../../src/paper/report.js";
import { boardFrom, harbourLamp } from "../board-fixture.js";
import { mistakesIn, reachesOut } from "../html-mistakes.js";

const circuit = boardFrom(harbourLamp);
const blocks = blocksOf(circuit);
const common = { circuit, file: "lamp.yaml", madeBy: "dotwright" };
const diagrams = { blocks: await blockDiagram(circuit, blocks), sheets: await pinDiagram(circuit, blocks) };
const book = report({ ...common, about: ["A lamp at the harbour's entrance."], diagrams, verdicts: [] });

/** The headings in the order of the pages. */
function headings(html: string): string[] {
  return [...html.matchAll(/<h2 id="[^"]*">([^<]*)<\/h2>/g)].map(([, heading = ""]) => heading);
}

describe("the book", () => {
  test("goes from the job over parts, diagrams and wiring to bring-up, and only then says why it holds", () => {
    expect(headings(book)).toEqual([
      "In short",
      "Before you start",
      "Contents",
      "Parts",
      "Block diagram",
      "Pin-level diagram",
      "How to read the diagram",
      "Pins that carry no signal",
      "Pin maps",
      "What do I wire?",
      "Bringing it up",
      "Does every slot fit?",
      "What the verdict does not see",
      "Every check",
    ]);
    expect(book.indexOf("A lamp at the harbour&#39;s entrance.")).toBeLessThan(book.indexOf('id="answers"'));
  });

  test("has every heading in its contents, with its page once that is known", () => {
    const contents = (html: string) => html.slice(html.indexOf('<nav class="contents"'), html.indexOf("</nav>"));
    for (const heading of headings(book).filter((words) => words !== "Contents")) {
      expect(contents(book)).toContain(`<span>${heading}</span>`);
    }
    const numbered = report({ ...common, diagrams, pages: new Map([["wiring", 17]]) });
    expect(contents(numbered)).toMatch(
      /What do I wire\?<\/span><span class="leader"><\/span><span class="page-number">17</,
    );
    expect(contents(book)).not.toMatch(/page-number">\d/);
  });

  test("is valid HTML that reaches for nothing outside", async () => {
    expect(await mistakesIn(book)).toEqual([]);
    expect(reachesOut(book)).toEqual([]);
  });

  test("leaves room to write down what was measured, with what to expect beside it", () => {
    const record = book.slice(book.indexOf('id="bring-up"'), book.indexOf('id="slots"'));
    expect(record).toContain("4.5 to 5.5 V");
    expect(record).toContain("Frequency of OSC at X1");
    // 25.175 MHz and 100 ppm of a can.
    expect(record).toMatch(/25\.17\d\d to 25\.17\d\d MHz/);
    expect(record.match(/class="blank"/g)?.length).toBeGreaterThan(5);
  });

  test("takes the bring-up step by step where its steps are known", () => {
    const bringUp = [
      {
        number: 2,
        title: "the clock",
        plug: ["X1 (OSC-25.175MHz)"],
        what: "the supply gives up to 45 mA.",
        checks: [
          {
            at: "X1.8 OUT",
            net: "OSC",
            instrument: "frequency counter" as const,
            expected: "25.18 MHz",
            tolerance: "0.01 %",
            otherwise: "Still: no supply.",
          },
        ],
      },
    ];
    const html = report({ ...common, bringUp });
    expect(html).toContain("<h3>2. the clock</h3>");
    expect(html).toContain("Plug in X1 (OSC-25.175MHz). The supply gives up to 45 mA.");
    expect(html).toContain('25.18 MHz, within 0.01 %<br><span class="quiet">Otherwise: Still: no supply.</span>');
  });

  test("keeps a title out of its style sheet", () => {
    const named = { ...circuit, title: '"}</style><b>x' };
    const html = report({ ...common, circuit: named });
    expect(html).not.toContain("<b>x");
    expect(html.match(/<\/style>/g)).toHaveLength(1);
  });
});
