import { error, list, name, quote } from "../wording.js";

/** The wording of every mistake in what a circuit file says of a processor. */

export const notAProcessor = (key: string, chip: string, part: string) =>
  error("no-processor", `${quote(key)} says something of a processor, but ${name(chip)} is a ${name(part)}`);

export const noClock = (chip: string, part: string, pin: string) =>
  error("missing-key", `nothing says at which rate ${name(chip)} (${name(part)}) is clocked`, {
    expected: `'clock', such as '2 MHz', or an oscillator at ${pin}`,
  });

export const CLOCK_EXPECTED = "a rate, such as '2 MHz' or '4 MHz, 45 to 55 % high'";

export const badClock = (text: string) =>
  error("quantity", `${quote(text)} is no clock of a processor`, { expected: CLOCK_EXPECTED });

export const otherRate = (text: string, can: string, rate: string) =>
  error("quantity", `the clock is ${quote(text)}, but ${name(can)} gives ${rate}`, {
    expected: "the rate of the oscillator, or no 'clock' at all",
  });

/** `processorBus` words its own refusals. */
export const unusable = (problem: string) => error("processor", problem);

export const oneStrobe = (text: string) =>
  error("several-nets", `${quote(text)} is more than one strobe`, { expected: "one net" });

export const severalDriversOfStrobe = (net: string, drivers: readonly string[]) =>
  error("strobe", `the strobe comes through net ${net}, which ${list(drivers)} drive`, {
    expected: "one output that always drives",
  });

export const strobeThrough = (net: string, driver: string, why: string) =>
  error("strobe", `the strobe comes through ${driver} (net ${net}), which ${why}`, {
    expected: "gates alone between the processor and its strobe; what comes otherwise stands under 'inputs'",
  });

export const strobeLoop = (net: string) =>
  error("strobe", `the strobe leads back to itself through net ${net}`, { expected: "gates without a loop" });

export const strobeJoins = (driver: string, pin: string) =>
  error("strobe", `${driver} joins ${pin} with itself on the way to the strobe`, {
    expected: "one way from the processor to the strobe",
  });

export const strobeWithout = (net: string, chip: string, pin: string) =>
  error("strobe", `net ${net} does not come from ${pin} of ${chip}`, {
    expected: `gates that let ${pin} through while the processor writes to the board`,
  });

export const strobeNotHeld = (net: string, chip: string, pin: string, level: string) =>
  error("strobe", `net ${net} is not at one level while ${pin} of ${chip} is ${level}`, {
    expected: `gates that hold it while ${pin} is ${level}`,
  });

export const drivenElsewhere = (net: string, chip: string, pin: string) =>
  error("driven-input", `net ${net} stands under 'inputs', but ${pin} of ${chip} is on it and gives its times`, {
    expected: "one of the two",
  });
