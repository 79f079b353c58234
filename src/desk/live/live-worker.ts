import { type Circuit, ownPartsNamed, readCircuit } from "../../circuit/index.js";
import { findRaster } from "../../raster/index.js";
import { LiveBoard, type MemoryLayout, TooMuchOpen } from "../../simulation/index.js";
import { coloursOf, toRgba } from "./colours.js";
import type { LiveAsk, LiveTold, Pace, SentLayout } from "./protocol.js";
import { Waves } from "./waves.js";

/** The board that runs, and how. */
interface Running {
  readonly board: LiveBoard;
  readonly waves: Waves;
  pace: Pace;
  width: number;
}

let running: Running | undefined;
/** Frames finished since the page was last told. */
let frames = 0;
let due = 0;

const steps: Readonly<Record<"half dot" | "line", (board: LiveBoard) => number>> = {
  "half dot": () => 1,
  line: ({ raster }) => 2 * raster.h.total,
};

function tell(told: LiveTold, transfer: Transferable[] = []): void {
  self.postMessage(told, { transfer });
}

/** Does what the page asks of the running board. */
export function runLive(ask: LiveAsk): void {
  switch (ask.kind) {
    case "begin":
      begin(ask);
      return;
    case "pace":
      if (running) running.pace = ask.pace;
      due = performance.now();
      frames = 0;
      return;
    case "step":
      if (!running) return;
      if (ask.unit === "frame") finishFrame(running);
      else for (let step = steps[ask.unit](running.board); step > 0; step--) halfDot(running);
      show(running, ask.unit !== "frame");
      return;
    case "write":
      if (!running) return;
      running.board.write(ask.values);
      if (running.pace.perSecond === 0) finishFrame(running);
      show(running, false);
      return;
    case "watch":
      if (!running) return;
      running.width = ask.width;
      running.waves.watch(ask.lanes);
  }
}

function begin({ file, layout }: Extract<LiveAsk, { kind: "begin" }>): void {
  running = undefined;
  const ownParts = file.ownParts ?? (ownPartsNamed(file.text) === undefined ? undefined : { file: "", unreadable: "" });
  const { circuit } = readCircuit(file.text, file.name, { findRaster, ...(ownParts && { ownParts }) });
  if (!circuit) return;
  try {
    const known = layout && layoutIn(circuit, layout);
    const board = LiveBoard.begin(circuit, known ? { layout: known } : {});
    if ("problem" in board) {
      tell({ kind: "cannot", problem: board.problem });
      return;
    }
    const waves = new Waves(circuit);
    const watched = waves.firstOf(circuit);
    waves.watch(watched);
    running = { board, waves, pace: { unit: "frame", perSecond: 0 }, width: 700 };
    tell({
      kind: "begun",
      width: board.picture.width,
      height: board.picture.height,
      ...(board.layout && {
        memory: {
          width: board.layout.width,
          height: board.layout.height,
          values: board.values,
          colours: coloursOf(board.picture.depth),
        },
      }),
      framesPerSecond: 1e15 / board.frameFs,
      lanes: waves.lanes.map(({ name }) => name),
      watched,
      doubts: board.machine.doubts.map(
        ({ place, nets }) => `${place} hangs on which of ${nets.join(", ")} changes first`,
      ),
    });
    finishFrame(running);
    show(running, false);
    due = performance.now();
    goOn(running);
  } catch (error) {
    if (!(error instanceof TooMuchOpen)) throw error;
    tell({ kind: "cannot", problem: `Without delays this cannot be shown: ${error.message}.` });
  }
}

function layoutIn({ chips }: Circuit, { refs, ...sent }: SentLayout): MemoryLayout | undefined {
  const memories = refs.flatMap((ref) => chips.find((chip) => chip.ref === ref) ?? []);
  return memories.length === refs.length ? { ...sent, memories } : undefined;
}

/** Does what the pace asks for by now, and comes back later; a page that asks for something is heard in between. */
function goOn(current: Running): void {
  if (running !== current) return;
  const { pace } = current;
  const now = performance.now();
  if (pace.perSecond === 0) {
    due = now;
  } else {
    const interval = 1000 / pace.perSecond;
    if (now >= due) {
      const count = pace.unit === "frame" ? 1 : Math.max(1, Math.min(mostHalfDots, Math.floor((now - due) / interval)));
      for (let step = 0; step < count; step++) {
        if (pace.unit === "frame") finishFrame(current);
        else halfDot(current);
      }
      show(current, pace.unit !== "frame");
      // A board that cannot keep up goes as fast as it can, without catching up later.
      due = Math.max(due + count * interval, now - interval);
    }
  }
  const wait = pace.perSecond === 0 ? longestWait : Math.min(longestWait, due - performance.now());
  if (wait < shortestWait) soon(() => goOn(current));
  else setTimeout(() => goOn(current), wait);
}

/** Milliseconds: a page that asks for something is heard within the one; browsers keep no time shorter than the other. */
const [longestWait, shortestWait] = [30, 4];

/** Does something as soon as what has been asked meanwhile is done. */
function soon(run: () => void): void {
  const { port1, port2 } = new MessageChannel();
  port1.addEventListener("message", () => {
    port1.close();
    run();
  });
  port1.start();
  port2.postMessage(undefined);
}

/** Half dots between two pictures of the screen. */
const mostHalfDots = 4000;

function finishFrame({ board, waves }: Running): void {
  board.finishFrame();
  waves.forget();
  frames++;
}

function halfDot({ board, waves }: Running): void {
  board.stepHalfDot();
  waves.sample(board.now, (net) => board.levelOf(net));
}

function show({ board, waves, width }: Running, isSlow: boolean): void {
  const rgba = toRgba(board.picture);
  const told: LiveTold = {
    kind: "shown",
    rgba,
    frames,
    ...(isSlow && { beam: board.beam, waves: waves.draw(width) }),
  };
  frames = 0;
  tell(told, [rgba.buffer]);
}
