import type { MapPin, PinMap } from "./pin-map.js";
import { pageWidth, wrapText } from "./text-table.js";

/** A pin map in characters: pin names inside the outline, numbers at its edge, nets outside. */
export function pinMapText({ chip, part, title, note, package: name, isDual, left, right }: PinMap): string {
  const [leftNets, rightNets] = [left.map(wire), right.map(wire)];
  const netWidth = widest(leftNets);
  const inside = Math.max(13, widest(left.map(({ pin }) => pin)) + widest(right.map(({ pin }) => pin)) + 4);
  const margin = " ".repeat(netWidth + 4);
  const half = (inside - 1) / 2;
  const edge = (begin: string, middle: string, end: string) =>
    `${margin}${begin}${"─".repeat(Math.floor(half))}${middle}${"─".repeat(Math.ceil(half))}${end}`;

  const rows = left.map((a, i) => {
    const b = right[i];
    if (!b) return "";
    const names = a.pin + " ".repeat(inside - 2 - a.pin.length - b.pin.length) + b.pin;
    const numbers = [a, b].map((pin) => (pin.state === "no pin" ? "" : String(pin.number)));
    const line = `${(leftNets[i] ?? "").padStart(netWidth)} ${(numbers[0] ?? "").padStart(2)} │ ${names} │ ${(numbers[1] ?? "").padEnd(2)} ${rightNets[i] ?? ""}`;
    return line.trimEnd();
  });
  const place = isDual ? name : `${name}, on an adapter`;
  const heading = [
    ...wrapText(`${chip === "" ? part : `${chip}, ${part}`}: ${title}, ${place}`, pageWidth),
    ...(note === "" ? [] : indented(note)),
  ];
  return [...heading, edge("┌", "∪", "┐"), ...rows, edge("└", "─", "┘"), ""].join("\n");
}

function indented(note: string): string[] {
  return wrapText(note, pageWidth - 4).map((line) => `    ${line}`);
}

function wire({ net, state }: MapPin): string {
  return state === "open" ? "(open)" : net;
}

function widest(texts: readonly string[]): number {
  return Math.max(0, ...texts.map((text) => text.length));
}
