import { CELLS_HIGH, CELLS_WIDE, type Corners, type ScreenSignature, straighten } from "../../src/bench/index.js";

const [WIDTH, HEIGHT] = [400, 300];
/** Dots by which a corner is clicked off its place: a cell of the screen. */
const OFF = 4;

/**
 * A synthetic photograph of a screen, straightened by its corners as somebody clicked them: warped, blurred, noisy, unevenly
 * lit, with a room's light on the glass and corners that are a little off.
 */
export function photographOf(screen: ScreenSignature, numbers: (below: number) => number) {
  const random = (least: number, most: number) => least + ((most - least) * numbers(100_000)) / 100_000;
  const near = (x: number, y: number) => [x + random(-25, 25), y + random(-20, 20)] as const;
  const corners: Corners = [near(50, 40), near(350, 40), near(350, 260), near(50, 260)];
  const cells = screen.locked ? screen.cells : new Uint8Array(CELLS_WIDE * CELLS_HIGH * 3);
  const [gain, tiltX, tiltY, haze] = [random(0.5, 0.9), random(-0.3, 0.3), random(-0.3, 0.3), random(5, 30)];
  let rgb = new Float64Array(WIDTH * HEIGHT * 3).fill(haze);
  // Every small piece of the screen is put where it falls: bilinear in each of many small steps.
  const steps = 5;
  for (let j = 0; j < CELLS_HIGH * steps; j++) {
    for (let i = 0; i < CELLS_WIDE * steps; i++) {
      const [u, v] = [(i + 0.5) / (CELLS_WIDE * steps), (j + 0.5) / (CELLS_HIGH * steps)];
      const [x, y] = project(corners, u, v);
      const at = (Math.round(y) * WIDTH + Math.round(x)) * 3;
      const from = (Math.floor(j / steps) * CELLS_WIDE + Math.floor(i / steps)) * 3;
      const light = gain * (1 + tiltX * (u - 0.5) + tiltY * (v - 0.5));
      for (let colour = 0; colour < 3; colour++) rgb[at + colour] = haze + light * (cells[from + colour] ?? 0);
    }
  }
  for (let pass = 0; pass < 2; pass++) rgb = blurred(rgb);
  const noisy = Uint8Array.from(rgb, (value) => Math.max(0, Math.min(255, value + random(-20, 20))));
  const clicked = corners.map(([x, y]) => [x + random(-OFF, OFF), y + random(-OFF, OFF)]) as unknown as Corners;
  return { cells: straighten({ width: WIDTH, height: HEIGHT, rgb: noisy }, clicked) };
}

/** Where a place of the screen falls, by solving for the eight numbers of the projection one after the other. */
function project(corners: Corners, u: number, v: number): readonly [number, number] {
  const [[ax, ay], [bx, by], [cx, cy], [dx, dy]] = corners;
  // Weights of the corners that make straight lines straight: found from the crossing of the diagonals.
  const cross = (px: number, py: number, qx: number, qy: number) => px * qy - py * qx;
  const t = cross(bx - ax, by - ay, dx - bx, dy - by) / cross(cx - ax, cy - ay, dx - bx, dy - by);
  const [mx, my] = [ax + t * (cx - ax), ay + t * (cy - ay)];
  const distance = (x: number, y: number) => Math.hypot(x - mx, y - my);
  const far = (own: number, other: number) => (own + other) / own;
  const [da, db, dc, dd] = [distance(ax, ay), distance(bx, by), distance(cx, cy), distance(dx, dy)];
  const weights = [
    far(da, dc) * (1 - u) * (1 - v),
    far(db, dd) * u * (1 - v),
    far(dc, da) * u * v,
    far(dd, db) * (1 - u) * v,
  ];
  const sum = weights.reduce((all, one) => all + one, 0);
  const mix = (values: readonly number[]) =>
    values.reduce((all, one, index) => all + one * (weights[index] ?? 0), 0) / sum;
  return [mix([ax, bx, cx, dx]), mix([ay, by, cy, dy])];
}

function blurred(rgb: Float64Array): Float64Array<ArrayBuffer> {
  const soft = new Float64Array(rgb.length);
  for (let y = 1; y < HEIGHT - 1; y++) {
    for (let x = 1; x < WIDTH - 1; x++) {
      for (let colour = 0; colour < 3; colour++) {
        let sum = 0;
        for (let dy = -1; dy <= 1; dy++) {
          for (let dx = -1; dx <= 1; dx++) sum += rgb[((y + dy) * WIDTH + x + dx) * 3 + colour] ?? 0;
        }
        soft[(y * WIDTH + x) * 3 + colour] = sum / 9;
      }
    }
  }
  return soft;
}
