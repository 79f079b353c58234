import lamps from "../../../examples/harbour-lamps.circuit.yaml";
import loader from "../../../examples/tide-board-loader.circuit.yaml";
import wideFast from "../../../examples/tide-board-wide-fast.circuit.yaml";
import wide from "../../../examples/tide-board-wide.circuit.yaml";
import type { ExamplesScript } from "./examples.js";

/** The script's whole effect: the desk, which loaded it, finds here the examples that it does not open with. */
Object.assign(globalThis, {
  dotwrightExamples: {
    "tide-board-wide.circuit.yaml": wide,
    "tide-board-wide-fast.circuit.yaml": wideFast,
    "tide-board-loader.circuit.yaml": loader,
    "harbour-lamps.circuit.yaml": lamps,
  },
} satisfies ExamplesScript);
