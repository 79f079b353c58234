import { join } from "node:path";
import { Animation, type NoPicture, type Shown, encodePng } from "../raster/index.js";
import { writeWhole } from "./files.js";

/** Where the frames of a simulation go. */
export interface FilmRequest {
  /** A folder for one PNG a frame. */
  readonly pictures: string | undefined;
  /** A file for all of them as an animated PNG. */
  readonly animation: string | undefined;
  /** How many are to come. */
  readonly frames: number;
}

/** Every frame that the monitor shows, on its way into files. */
export class Film {
  private readonly request: FilmRequest;
  private readonly animation = new Animation();
  private readonly files: { readonly path: string; readonly png: Uint8Array }[] = [];
  private size: string | undefined;
  private seconds = 0;

  constructor(request: FilmRequest) {
    this.request = request;
  }

  /** Takes what the monitor shows of one frame; one without a picture, or of another size than the first, is left out. */
  add(seen: NoPicture | Shown, frame: number): void {
    const size = seen.locked ? `${seen.picture.width} x ${seen.picture.height}` : undefined;
    this.size ??= size;
    if (!seen.locked || size !== this.size) return;
    const { pictures, animation, frames } = this.request;
    const number = String(frame + 1).padStart(String(frames).length, "0");
    if (pictures !== undefined) {
      this.files.push({ path: join(pictures, `frame-${number}.png`), png: encodePng(seen.picture) });
    }
    const seconds = (seen.lock.interlace ? 2 : 1) / seen.lock.fieldRateHz;
    this.seconds += seconds;
    if (animation !== undefined) this.animation.add(seen.picture, seconds);
  }

  /**
   * Writes the files and says which, a line each.
   *
   * @throws BadInput where one cannot be written
   */
  async write(): Promise<{ readonly text: readonly string[]; readonly data: object }> {
    const { animation, frames } = this.request;
    for (const { path, png } of this.files) await writeWhole(path, png);
    const hasAnimation = animation !== undefined && this.animation.length > 0;
    if (hasAnimation) await writeWhole(animation, this.animation.encode());
    const [first, last] = [this.files[0]?.path, this.files.at(-1)?.path];
    const time = `${(this.seconds * 1000).toFixed(1)} ms`;
    const lost = frames - Math.max(this.files.length, this.animation.length);
    return {
      text: [
        ...(first === undefined || last === undefined
          ? []
          : [`The frames: ${first}${first === last ? "" : ` to ${last}`}`]),
        ...(hasAnimation ? [`The animation: ${animation}, ${this.animation.length} frames in ${time}`] : []),
        ...(lost > 0 ? [lostSentence(frames, lost)] : []),
      ],
      data: {
        ...(this.files.length > 0 && { framePaths: this.files.map(({ path }) => path) }),
        ...(hasAnimation && { animationPath: animation }),
        framesWithoutPicture: lost,
      },
    };
  }
}

function lostSentence(frames: number, lost: number): string {
  const count = `Of ${frames} ${frames === 1 ? "frame" : "frames"} ${lost}`;
  return lost === 1 ? `${count} has no picture and is left out.` : `${count} have no picture and are left out.`;
}
