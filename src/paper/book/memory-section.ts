import {
  type NoMap,
  type Sample,
  type Sending,
  type ScreenMap,
  givenCount,
  hex,
  writeImage,
} from "../../loading/index.js";
import { landingSentences, numberingSentence, screenSentences, sequenceSentences } from "../loading-text.js";
import { type Markup, markup } from "../markup.js";
import { section } from "../page.js";

/** Records of the image that are printed. */
const RECORDS = 12;
/** The last line of the C that is printed: behind it stands nothing that is the reader's to write. */
const LAST_DECLARATION = "void dw_load(void);";

/** What the memory holds for a first picture, and how it gets there. */
export function memorySection(sample: Sample | NoMap, file: string): Markup {
  return section({
    id: "memory",
    heading: "How do I fill it?",
    notes: markup`<p>The way to the memory was found by trying, without delays; of delays the proof speaks.</p>`,
    content:
      "problem" in sample
        ? markup`<p>What the memory is to hold is not known. ${sample.problem}</p>\n`
        : filled(sample, file),
  });
}

function filled(sample: Sample, file: string): Markup {
  const { screen, filled, shows, ram, image, numbering, sending } = sample;
  const records = String(writeImage(image, "hex", "image"))
    .trimEnd()
    .split("\n");
  const more = records.length - RECORDS;
  const about = [
    `For ${shows} ${ram.ref} holds ${givenCount(image).toLocaleString("en")} bytes.`,
    numberingSentence(numbering, numbering !== undefined),
    rowsSentence(sample),
  ];
  return markup`<p>${screenSentences(screen, filled).join(" ")}</p>
<p>${about.filter((sentence) => sentence !== "").join(" ")}</p>
<h3>The image, as Intel HEX</h3>
<pre class="listing">${records.slice(0, RECORDS).join("\n")}${more > 0 && `\n… ${more} records more`}</pre>
${download("image.hex", `${records.join("\n")}\n`, "the whole image")}${"problem" in sending ? markup`<p>How a byte gets into ${ram.ref} is not known. ${sending.problem}</p>\n` : sent(sample, sending, file)}`;
}

function sent({ screen: { circuit }, ram }: Sample, sending: Sending, file: string): Markup {
  const { path, rate, isByAddress, landing, c } = sending;
  const [head = "", ...rest] = sequenceSentences(
    circuit,
    [path],
    rate,
    isByAddress ? "" : ", in the order that takes least",
  );
  const steps = rest.filter((line) => line.startsWith("  "));
  const times = rest.filter((line) => !line.startsWith("  "));
  const lines = c?.trimEnd().split("\n") ?? [];
  return markup`<h3>How a byte is sent</h3>
<p>${head}</p>
<pre class="listing">${steps.join("\n")}</pre>
<p>${[...times, ...(landing ? landingSentences(landing) : [])].join(" ")}</p>
${
  c === undefined
    ? markup`<p>A chip of the circuit drives the pins that lead to ${ram.ref}, so there is no C for a microcontroller in its place.</p>\n`
    : markup`<h3>The C that sends it</h3>
<p>For a microcontroller with plain pins, ${lines.length.toLocaleString("en")} lines with the bytes. This is its begin; the page, read on a screen, carries all of it, and <span class="mono">npx dotwright load ${file} --picture FILE --c FILE.c</span> writes it for a picture of yours.</p>
<pre class="listing">${lines.slice(0, lines.indexOf(LAST_DECLARATION) + 1).join("\n")}
…</pre>
${download("load.c", c, "the whole C")}`
}`;
}

/** A file that the page carries with it; on paper there is no use for it. */
function download(name: string, text: string, what: string): Markup {
  return markup`<p class="on-screen"><a download="${name}" href="data:text/plain;charset=utf-8,${encodeURIComponent(text)}">Save ${what}</a></p>\n`;
}

/** Where the rows of the picture lie, if they lie evenly: what whoever writes bytes by hand needs to know. */
function rowsSentence({ screen: { map }, ram, numbering }: Sample): string {
  const [net] = map.nets;
  const memory = map.rams.find(({ chip }) => chip === ram);
  const isOne = map.nets.every((other) => other === net || other.ram.every((bit, dot) => bit === net?.ram[dot]));
  if (!net || !memory || !isOne || (numbering && !numbering.isSame)) return "";
  const placeAt = (x: number, y: number) => {
    const number = (net.ram[y * map.width + x] ?? -1) - memory.first;
    return number < 0 ? undefined : { address: Math.floor(number / memory.width), bit: number % memory.width };
  };
  const corner = placeAt(0, 0);
  const step = stepOf(map, (y) => placeAt(0, y)?.address);
  const last = placeAt(map.width - 1, 0);
  if (!corner || !last || step === undefined) return "";
  return `The top row lies at ${hex(corner.address)} to ${hex(last.address)}, its leftmost dot is bit ${corner.bit}, and each row begins ${step} addresses after the one above.`;
}

/** Addresses from one row to the next; undefined where that is not the same all over. */
function stepOf({ height }: ScreenMap, addressOf: (row: number) => number | undefined): number | undefined {
  const [first, second] = [addressOf(0), addressOf(1)];
  if (first === undefined || second === undefined) return undefined;
  for (let row = 0; row < height; row++) if (addressOf(row) !== first + row * (second - first)) return undefined;
  return second - first;
}
