import { FileContext } from "../../circuit/file-context.js";
import { LOADING_LIST } from "../../circuit/file-kind.js";
import type { Complaint, Problem } from "../../circuit/problem.js";
import { Report } from "../../circuit/report.js";
import { readYaml } from "../../circuit/source.js";
import { checkStructure } from "../../circuit/structure.js";
import type { Path } from "../../circuit/value.js";
import type { FileBytes } from "../../simulation/index.js";
import type { Layer, Place } from "../fill/layer.js";
import { type Font, ownFont, readFont } from "../font/index.js";
import { isRefused } from "../format/memory-image.js";
import { decodePicture } from "../picture/decode.js";
import { type LayerEntry, type LoadingList, loadingList } from "./shape.js";

export interface ListReading {
  /** Absent where the list has mistakes. */
  readonly layers?: readonly Layer[];
  /** The font that the list names at its top. */
  readonly font?: Font;
  readonly problems: readonly Problem[];
}

/** Names of the files that a list takes something from; none where it is no list. */
export function filesNamedIn(text: string): readonly string[] {
  const source = readYaml(text, new Report(text, "", LOADING_LIST));
  const { data } = loadingList.safeParse(source?.root);
  const files = (data?.layers ?? []).flatMap((layer): (string | undefined)[] => {
    if ("picture" in layer) return [layer.picture.file];
    if ("text" in layer) return [layer.text.file, layer.text.font];
    return "bytes" in layer ? [layer.bytes.file] : [];
  });
  return [...new Set([data?.font, ...files].filter((file) => file !== undefined))];
}

/** Reads a loading list for a picture of so many dots. Never throws for any text; every mistake is a problem with its place. */
export function readLoadingList(
  text: string,
  fileName: string,
  size: { readonly width: number; readonly height: number },
  fileNamed: (file: string) => FileBytes | undefined,
): ListReading {
  const report = new Report(text, fileName, LOADING_LIST);
  const source = readYaml(text, report);
  if (!source) return { problems: report.problems };
  checkStructure(source, report, loadingList);
  if (report.hasErrors) return { problems: report.problems };
  const list: LoadingList = loadingList.parse(source.root);
  const reader = new ListReader(new FileContext(source, report), size, fileNamed);
  const font = list.font === undefined ? undefined : reader.font(list.font, ["font"]);
  const layers = list.layers.flatMap((entry, index) => reader.layer(entry, ["layers", index], font ?? ownFont()));
  if (report.hasErrors) return { problems: report.problems };
  return { layers, ...(font && { font }), problems: report.problems };
}

const error = (code: string, message: string, expected: string): Complaint => ({
  severity: "error",
  code,
  message,
  expected,
});

class ListReader {
  readonly #context: FileContext;
  readonly #size: { readonly width: number; readonly height: number };
  readonly #fileNamed: (file: string) => FileBytes | undefined;

  constructor(
    context: FileContext,
    size: { readonly width: number; readonly height: number },
    fileNamed: (file: string) => FileBytes | undefined,
  ) {
    this.#context = context;
    this.#size = size;
    this.#fileNamed = fileNamed;
  }

  font(file: string, path: Path): Font | undefined {
    const bytes = this.#bytes(file, path);
    const font = bytes && readFont(bytes);
    if (!font || !isRefused(font)) return font;
    return this.#context.complain(path, error("font", `${file}: ${font.problem}`, "a BDF or console font"));
  }

  layer(entry: LayerEntry, path: Path, font: Font): readonly Layer[] {
    if ("test card" in entry) return [{ kind: "test card" }];
    if ("fill" in entry) {
      const { colour, ...place } = entry.fill;
      return [{ kind: "fill", colour, place: this.#whole(place) }];
    }
    if ("picture" in entry) return this.#picture(entry.picture, [...path, "picture"]);
    if ("text" in entry) return this.#text(entry.text, [...path, "text"], font);
    const { at, bytes, file } = entry.bytes;
    if ((bytes === undefined) === (file === undefined)) {
      this.#context.complainOfKey(
        [...path, "bytes"],
        error("no-bytes", "it is not said which bytes", "one of 'bytes' and 'file'"),
      );
      return [];
    }
    const found = bytes ? Uint8Array.from(bytes) : this.#bytes(file ?? "", [...path, "bytes", "file"]);
    return found ? [{ kind: "bytes", at, bytes: found }] : [];
  }

  #picture(entry: Extract<LayerEntry, { picture: unknown }>["picture"], path: Path): readonly Layer[] {
    const { file, fit = "fit", filter = "mks2013", dither = "floyd-steinberg", crop, ...rest } = entry;
    const bytes = this.#bytes(file, [...path, "file"]);
    const image = bytes && decodePicture(bytes);
    if (!image) return [];
    if (isRefused(image)) {
      this.#context.complain(
        [...path, "file"],
        error("picture", `${file}: ${image.problem}`, "a PNG, JPEG or netpbm picture"),
      );
      return [];
    }
    if (crop && (crop.x + crop.width > image.width || crop.y + crop.height > image.height)) {
      const inside = `a part of the picture's ${image.width} x ${image.height} dots`;
      this.#context.complainOfKey([...path, "crop"], error("crop", "reaches beyond the picture", inside));
      return [];
    }
    const { brightness, contrast, negative } = rest;
    const tone = {
      dither,
      ...(brightness !== undefined && { brightness }),
      ...(contrast !== undefined && { contrast }),
      ...(negative !== undefined && { negative }),
    };
    return [{ kind: "picture", image, place: this.#whole(rest), fit, filter, ...(crop && { crop }), tone }];
  }

  #text(entry: Extract<LayerEntry, { text: unknown }>["text"], path: Path, font: Font): readonly Layer[] {
    const { text, file, align = "left", scale = 1, leading = 0, inverse = false, colour } = entry;
    if ((text === undefined) === (file === undefined)) {
      this.#context.complainOfKey(path, error("no-text", "it is not said which text", "one of 'text' and 'file'"));
      return [];
    }
    const own = entry.font === undefined ? font : this.font(entry.font, [...path, "font"]);
    const written = text ?? this.#textOf(file ?? "", [...path, "file"]);
    if (!own || written === undefined) return [];
    const { x, y, width, height } = entry;
    const place = {
      ...(x !== undefined && { x }),
      ...(y !== undefined && { y }),
      ...(width !== undefined && { width }),
      ...(height !== undefined && { height }),
    };
    const more = colour === undefined ? {} : { colour };
    return [{ kind: "text", text: written, font: own, place, align, scale, leading, inverse, ...more }];
  }

  #textOf(file: string, path: Path): string | undefined {
    const bytes = this.#bytes(file, path);
    if (!bytes) return undefined;
    try {
      return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    } catch {
      return this.#context.complain(path, error("text", `${file}: is no text in UTF-8`, "a text file"));
    }
  }

  #whole(place: {
    x?: number | undefined;
    y?: number | undefined;
    width?: number | undefined;
    height?: number | undefined;
  }): Place {
    const { x = 0, y = 0 } = place;
    const { width = Math.max(1, this.#size.width - x), height = Math.max(1, this.#size.height - y) } = place;
    return { x, y, width, height };
  }

  #bytes(file: string, path: Path): Uint8Array | undefined {
    const found = this.#fileNamed(file);
    if (found instanceof Uint8Array) return found;
    const why = found?.unreadable ?? "cannot be read";
    return this.#context.complain(path, error("unreadable", `${file}: ${why}`, "a file beside the list"));
  }
}
