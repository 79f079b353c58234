import code from "worker:thorough";

/** The script's whole effect: the desk, which loaded it, finds here the code of the worker. */
Object.assign(globalThis, { dotwrightThorough: code });
