import { FileContext } from "../../circuit/file-context.js";
import { WISH_FILE } from "../../circuit/file-kind.js";
import { Report } from "../../circuit/report.js";
import { readYaml } from "../../circuit/source.js";
import { checkStructure } from "../../circuit/structure.js";
import type { Problem } from "../../circuit/index.js";
import type { Misreading } from "../../quantity/index.js";
import type { WishKey, WishTexts } from "./shape.js";
import { wishFile } from "./shape.js";
import { wishesOf } from "./wishes-of.js";

export interface WishReading {
  /** As written, so that options can be laid over them; absent where the file has mistakes. */
  readonly texts?: WishTexts;
  readonly problems: readonly Problem[];
}

/** Reads a wish file. Never throws for any text; every mistake is a problem with its place. */
export function readWishFile(text: string, fileName: string): WishReading {
  const report = new Report(text, fileName, WISH_FILE);
  const source = readYaml(text, report);
  if (!source) return { problems: report.problems };
  checkStructure(source, report, wishFile);
  if (report.hasErrors) return { problems: report.problems };
  const { wishes: _, ...texts } = wishFile.parse(source.root);
  const context = new FileContext(source, report);
  wishesOf(texts, (key: WishKey, { wrong, expected }: Misreading, index?: number) => {
    const isList = index !== undefined && Array.isArray(texts[key]);
    context.complain(isList ? [key, index] : [key], {
      severity: "error",
      code: "wish",
      message: wrong,
      expected,
    });
  });
  return report.hasErrors ? { problems: report.problems } : { texts, problems: report.problems };
}
