/**
 * As much of the WebAssembly interface as is used here. Node and browsers both have it, but it is described by the types of
 * neither the language nor Node.
 */
interface WebAssemblyInterface {
  readonly Module: new (bytes: Uint8Array) => WasmModule;
  readonly Instance: new (
    module: WasmModule,
    imports: WasmImports,
  ) => { readonly exports: Readonly<Record<string, unknown>> };
  readonly Memory: new (limits: { readonly initial: number; readonly maximum?: number }) => WasmMemory;
}

export type WasmModule = { readonly of: "module" };
export interface WasmMemory {
  readonly buffer: ArrayBuffer;
  /** Makes it larger by so many pages of 64 KiB. Views of the old buffer are void then. */
  grow(pages: number): number;
}
export type WasmImports = Readonly<Record<string, Readonly<Record<string, unknown>>>>;
export type WasmFunction = (...args: readonly number[]) => number;

const { WebAssembly } = globalThis as unknown as { readonly WebAssembly: WebAssemblyInterface };

/** Bytes of a page of memory. */
export const PAGE = 65536;

export function newMemory(bytes: number): WasmMemory {
  return new WebAssembly.Memory({ initial: Math.ceil(bytes / PAGE) });
}

/** Compiles a module and joins it to its imports. Its exports must all be functions. */
export function instantiate(bytes: Uint8Array, imports: WasmImports): Readonly<Record<string, WasmFunction>> {
  const { exports } = new WebAssembly.Instance(new WebAssembly.Module(bytes), imports);
  return exports as Readonly<Record<string, WasmFunction>>;
}

export function functionOf(exported: Readonly<Record<string, WasmFunction>>, name: string): WasmFunction {
  const found = exported[name];
  if (!found) throw new RangeError(`the module exports no ${name}`);
  return found;
}
