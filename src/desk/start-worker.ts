/** Workers come from text inside the page's own script: a page that was opened from a folder may load no second file. */
export function startWorker(code: string, name: string): Worker {
  const url = URL.createObjectURL(new Blob([code], { type: "text/javascript" }));
  const worker = new Worker(url, { name });
  URL.revokeObjectURL(url);
  return worker;
}
