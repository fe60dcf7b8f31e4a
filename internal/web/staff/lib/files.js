// Papers and exports: what the server gives as a file, kept with its name.
import { address, signed } from "./api.js";

/** @typedef {import("./api.js").Paths} Paths */

/** Fetches a file, tells how it grows, and hands it to the browser to keep.
 * @param {keyof Paths} path @param {import("./api.js").Filled} filled
 * @param {{ name: string, accept: string, grown?: (bytes: number) => void, stop?: AbortSignal }} how */
export async function keepFile(path, filled, { name, accept, grown, stop }) {
  const answer = await signed("GET", address(path, filled), undefined, { Accept: accept }, stop);
  const parts = [];
  let bytes = 0;
  const reader = /** @type {ReadableStream<Uint8Array>} */ (answer.body).getReader();
  for (let step = await reader.read(); !step.done; step = await reader.read()) {
    parts.push(step.value);
    bytes += step.value.length;
    grown?.(bytes);
  }
  keepBlob(new Blob(/** @type {BlobPart[]} */ (parts), { type: answer.headers.get("Content-Type") ?? "" }), name);
  return bytes;
}

/** Hands bytes to the browser to keep under a name. @param {Blob} blob @param {string} name */
export function keepBlob(blob, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}
