import code from "worker:report";
import type { ReportScript } from "./report-maker.js";

/** The script's whole effect: the desk, which loaded it, finds here the code of the worker. */
Object.assign(globalThis, { dotwrightReport: code } satisfies ReportScript);
