import { BenchPage } from "./bench-page.js";

/** The script's whole effect: the desk, which loaded it, finds here how to make the page. */
Object.assign(globalThis, { dotwrightBench: () => new BenchPage() });
