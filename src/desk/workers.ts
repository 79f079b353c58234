import answersCode from "worker:answers";

/** Workers come from text inside the page's own script: a page that was opened from a folder may load no second file. */
function workerOf(code: string): Worker {
  const url = URL.createObjectURL(new Blob([code], { type: "text/javascript" }));
  const worker = new Worker(url);
  URL.revokeObjectURL(url);
  return worker;
}

export function answersWorker(): Worker {
  return workerOf(answersCode);
}
