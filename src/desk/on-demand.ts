const asked = new Map<string, Promise<void>>();

/** Loads a script that belongs beside the desk's other files, once; a classic one, since a page from a disk may load no modules. */
export function loadScript(file: string): Promise<void> {
  const known = asked.get(file);
  if (known) return known;
  const loading = new Promise<void>((resolve, reject) => {
    const script = document.createElement("script");
    script.src = file;
    script.addEventListener("load", () => resolve());
    script.addEventListener("error", () => {
      asked.delete(file);
      reject(new Error(`${file} is missing.`));
    });
    document.head.append(script);
  });
  asked.set(file, loading);
  return loading;
}
