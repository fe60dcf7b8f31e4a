// What a screen shows of a thing it reads: nothing yet, the thing, or why it
// could not be read. A thing that was asked for earlier and comes late is
// dropped, so that no screen ever shows another job's values.
import { signal } from "../kit/view.js";

/** @template T @typedef {{ value?: T, trouble?: unknown }} Loaded */

/** Keeps what was read last, and ignores answers to older questions.
 * @template T */
export function loading() {
  /** @type {import("../kit/view.js").Live<Loaded<T>>} */
  const shown = signal({});
  let asked = 0;
  return {
    shown,
    /** Asks, and forgets what was shown before unless it may stay.
     * @param {() => Promise<T>} ask @param {{ keep?: boolean }} [how] */
    async load(ask, how = {}) {
      const mine = ++asked;
      if (!how.keep) shown.value = {};
      try {
        const value = await ask();
        if (mine === asked) shown.value = { value };
      } catch (trouble) {
        if (mine === asked) shown.value = { ...(how.keep ? shown.value : {}), trouble };
      }
    },
    /** Drops what is shown and every answer still to come. */
    clear() { asked++; shown.value = {}; },
  };
}
