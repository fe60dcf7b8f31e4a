// The reckoning of the server, on the tablet: the same Go code as WebAssembly.
// It is fetched when the browser has nothing else to do; without it a reading is
// graded when it is sent.

/** @typedef {{ place: () => number, ask: (length: number) => bigint, memory: WebAssembly.Memory, _initialize: () => void }} Exports */
/** @typedef {Record<string, string[][]>} Lines what was answered, by the first word of each line */

/** @type {Promise<Exports | null> | null} */
let coming = null;

/** Fetches the engine once. @returns {Promise<Exports | null>} null where there is none */
export function engine() {
  coming ??= start().catch(() => { coming = null; return null; });
  return coming;
}

async function start() {
  const answer = await fetch(new URL("../engine/bench.wasm", import.meta.url));
  if (!answer.ok) return null;
  return await begin(await answer.arrayBuffer());
}

/** What Go asks of a system: a clock, random bytes, and a place to write. Nothing else is there.
 * @param {ArrayBuffer} bytes */
async function begin(bytes) {
  const module = await WebAssembly.compile(bytes);
  /** @type {Exports | undefined} */
  let exports;
  const view = () => new DataView(/** @type {Exports} */ (exports).memory.buffer);
  /** @type {Record<string, (...args: any[]) => number>} */
  const system = {
    random_get: (at, length) => { crypto.getRandomValues(new Uint8Array(view().buffer, at, length)); return 0; },
    clock_time_get: (_, __, at) => { view().setBigUint64(at, BigInt(Date.now()) * 1000000n, true); return 0; },
    args_sizes_get: (count, size) => { view().setUint32(count, 0, true); view().setUint32(size, 0, true); return 0; },
    environ_sizes_get: (count, size) => { view().setUint32(count, 0, true); view().setUint32(size, 0, true); return 0; },
    args_get: () => 0, environ_get: () => 0, sched_yield: () => 0,
    fd_write: (_, parts, count, written) => {
      let length = 0;
      for (let i = 0; i < count; i++) length += view().getUint32(parts + 8 * i + 4, true);
      view().setUint32(written, length, true);
      return 0;
    },
    proc_exit: () => { throw new Error("the engine stopped"); },
  };
  const missing = () => 52; // "not supported" (WASI preview 1, errno nosys)
  const wanted = Object.fromEntries(WebAssembly.Module.imports(module).map(({ name }) => [name, system[name] ?? missing]));
  const instance = await WebAssembly.instantiate(module, { wasi_snapshot_preview1: wanted });
  const begun = /** @type {Exports} */ (/** @type {unknown} */ (instance.exports));
  exports = begun;
  begun._initialize();
  return begun;
}

/** Asks the engine. @param {Exports} at @param {string[][]} question @returns {Lines} */
export function ask(at, question) {
  const clean = (/** @type {string} */ field) => field.replace(/[\t\n\r]/g, " ");
  const bytes = new TextEncoder().encode(question.map((line) => line.map(clean).join("\t")).join("\n"));
  if (bytes.length > 1 << 15) return { refused: [["pad.question_long", ""]] };
  new Uint8Array(at.memory.buffer, at.place(), bytes.length).set(bytes);
  const found = at.ask(bytes.length);
  const text = new TextDecoder().decode(new Uint8Array(at.memory.buffer, Number(found >> 32n), Number(found & 0xffffffffn)));
  /** @type {Lines} */
  const lines = {};
  for (const line of text.split("\n").filter(Boolean)) {
    const [name = "", ...fields] = line.split("\t");
    (lines[name] ??= []).push(fields);
  }
  return lines;
}
