import type { Markup } from "./markup.js";
import type { MapPin, PinMap } from "./pin-map.js";
import { type Label, Sheet } from "./sheet.js";
import { textWidth } from "./text-width.js";

const pitch = 20;
const netSize = 12;
const pinSize = 11;
const numberSize = 10;
const stub = 18;

/** A pin map as a data sheet draws a package from above. `name` makes the ids unique on a page. */
export function drawPinMap(
  map: PinMap,
  name = `pins-${map.chip.replace(/\W/g, "-")}`,
): { svg: Markup; labels: readonly Label[] } {
  const netWidth = (pins: readonly MapPin[]) => Math.max(0, ...pins.map(({ net }) => textWidth(net, netSize, "mono")));
  const pinWidth = (pins: readonly MapPin[]) => Math.max(0, ...pins.map(({ pin }) => textWidth(pin, pinSize, "mono")));
  const body = Math.max(92, pinWidth(map.left) + pinWidth(map.right) + 34);
  const side = Math.max(netWidth(map.left), netWidth(map.right)) + stub + 8;
  const sheet = new Sheet(name, side * 2 + body + 4);
  const [left, top] = [side + 2, 4];
  const right = left + body;
  const height = map.left.length * pitch + 8;

  sheet.rect({ x: left, y: top, width: body, height }, "body");
  paintNotch(sheet, (left + right) / 2, top);
  map.left.forEach((pin, row) => paintPin(sheet, pin, left, top + 4 + (row + 0.5) * pitch, -1));
  map.right.forEach((pin, row) => paintPin(sheet, pin, right, top + 4 + (row + 0.5) * pitch, 1));

  const what = [map.chip, map.part, map.package].filter((word) => word !== "").join(", ");
  const title = `Pins of ${what}, seen from above`;
  const said = [...map.left, ...map.right]
    .filter(({ state }) => state !== "no pin")
    .sort((a, b) => a.number - b.number)
    .map(({ number, pin, net }) => `${number} ${pin}: ${net === "" ? "not connected" : net}`);
  return { svg: sheet.svg(top + height + 4, title, `${said.join("; ")}.`), labels: sheet.labels };
}

/** The half circle at the end where pin 1 is. */
function paintNotch(sheet: Sheet, x: number, top: number): void {
  const points = Array.from({ length: 13 }, (_, i) => {
    const angle = (Math.PI * i) / 12;
    return [x - 7 * Math.cos(angle), top + 7 * Math.sin(angle)] as const;
  });
  sheet.path(points, "ink");
}

/** A pin on the left (-1) or right (1) edge `x` of the package: stub, number, name inside, net outside. */
function paintPin(sheet: Sheet, { number, pin, net, state }: MapPin, x: number, y: number, direction: -1 | 1): void {
  if (state === "no pin") return;
  const out = x + direction * stub;
  const anchors = direction < 0 ? (["end", "start"] as const) : (["start", "end"] as const);
  sheet.rect({ x: Math.min(x, out - direction * 5), y: y - 3, width: stub - 5, height: 6 }, "body");
  sheet.text(x - direction * 5, y + 4, pin, { anchor: anchors[1], face: "mono", size: pinSize });
  sheet.text(x + direction * 3, y - 5, String(number), { anchor: anchors[0], size: numberSize });
  if (net === "") return;
  const quiet = state === "open" ? { class: "quiet" } : {};
  sheet.text(out + direction * 2, y + 4, net, { anchor: anchors[0], face: "mono", size: netSize, ...quiet });
}
