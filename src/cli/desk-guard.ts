import type { IncomingHttpHeaders, OutgoingHttpHeaders } from "node:http";

/** What a browser tells of a request, as far as it decides whether the desk answers. */
export type Asked = {
  readonly method: string;
  readonly path: string;
  readonly headers: IncomingHttpHeaders;
};

/**
 * Why a request is refused, or undefined. Pages of other sites can make a browser ask this server, under its own name or
 * under one that they let point here; only the desk's own page may.
 */
export function refusal({ method, path, headers }: Asked, port: number): string | undefined {
  const names = [`127.0.0.1:${port}`, `localhost:${port}`];
  const host = headers.host ?? "";
  if (!names.includes(host)) return `This server answers to ${names.join(" and ")} only.`;
  if (headers.origin !== undefined && headers.origin !== `http://${host}`) return "Another page may not ask this.";
  const site = headers["sec-fetch-site"];
  // A link elsewhere may lead to the desk, which then asks for everything itself.
  const isArrival = method === "GET" && path === "/" && headers["sec-fetch-mode"] === "navigate";
  if (site !== undefined && site !== "same-origin" && site !== "none" && !isArrival) {
    return "Another page may not ask this.";
  }
  return undefined;
}

/** The headers of every answer: nothing from elsewhere runs, nothing goes elsewhere, nobody may frame or read it. */
export function protection(nonce: string): OutgoingHttpHeaders {
  return {
    "Content-Security-Policy": [
      "default-src 'none'",
      "script-src 'self' 'wasm-unsafe-eval'",
      `style-src 'self' 'nonce-${nonce}'`,
      "worker-src blob:",
      "img-src 'self' data: blob:",
      "connect-src 'self'",
      "base-uri 'none'",
      "form-action 'none'",
      "frame-ancestors 'none'",
    ].join("; "),
    "Cross-Origin-Embedder-Policy": "require-corp",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
  };
}
