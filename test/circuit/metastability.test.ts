import { expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import { lamp } from "./harbour.js";

test("a circuit file may say how long a flip-flop stays undecided", () => {
  const stated = `${lamp}\nmetastability: { 74HC04: { tau: 1.5 ns, T0: 9800000 s, counted from: output, source: my bench } }\n`;
  const { circuit, problems } = readCircuit(stated, "lamp.yaml");
  expect(problems).toEqual([]);
  expect(circuit?.metastability?.get("74HC04")).toEqual({
    tau: 1.5e-9,
    t0: 9.8e6,
    countedFrom: "output",
    publishedFor: "",
    source: "my bench",
    fromMemory: false,
  });
});

test("a file that says nothing of it has no figures of its own", () => {
  expect(readCircuit(lamp, "lamp.yaml").circuit?.metastability?.size).toBe(0);
});
