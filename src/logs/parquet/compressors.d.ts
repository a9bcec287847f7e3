/** Types of the two parts of hyparquet-compressors that are used one by one: its index would also load a WebAssembly program. */
declare module 'hyparquet-compressors/src/lz4.js' {
  export const decompressLz4: (input: Uint8Array, outputLength: number) => Uint8Array;
  export const decompressLz4Raw: (input: Uint8Array, outputLength: number) => Uint8Array;
}
declare module 'hyparquet-compressors/src/brotli.js' {
  export const decompressBrotli: (input: Uint8Array, outputLength: number) => Uint8Array;
}
