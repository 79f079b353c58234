import type { Complaint } from "./problem.js";
import type { Report } from "./report.js";
import type { Source } from "./source.js";
import type { Path } from "./value.js";

/** Reports mistakes by where in the file's structure they are. */
export class FileContext {
  readonly source: Source;
  readonly report: Report;

  constructor(source: Source, report: Report) {
    this.source = source;
    this.report = report;
  }

  /** A mistake in the value at `path`. */
  complain(path: Path, complaint: Complaint): undefined {
    this.report.add(this.source.valueAt(path), complaint);
  }

  /** A mistake in the key at the end of `path`. */
  complainOfKey(path: Path, complaint: Complaint): undefined {
    this.report.add(this.source.keyAt(path), complaint);
  }
}
