// The one place that knows which library draws: everything else imports from
// here, so that another one is a change of this file.
import { createElement, Fragment, isValidElement, render } from "../vendor/preact.js";
import { useEffect, useRef } from "../vendor/hooks.js";
import { batch, effect, Signal, signal, useSignal } from "../vendor/signals.js";

export { batch, effect, render, signal, useEffect, useRef, useSignal };

/** @typedef {import("../vendor/preact.js").ComponentChildren} Children */
/** @typedef {import("../vendor/preact.js").VNode} Drawn */
/** @typedef {import("../vendor/preact.js").JSX.IntrinsicElements} Elements */
/** @template T @typedef {import("../vendor/signals.js").Signal<T>} Live */

/** Reports whether a first argument holds attributes, and is nothing to show.
 * @param {unknown} first */
function isAttributes(first) {
  return typeof first === "object" && first !== null && !Array.isArray(first) && !isValidElement(first) && !(first instanceof Signal);
}

/** Draws elements by name: `el.button({ onClick }, "Save")` or `el.p("words")`.
 * @type {{ [K in keyof Elements]: (...args: [Elements[K], ...Children[]] | Children[]) => Drawn }} */
export const el = new Proxy(/** @type {any} */ ({}), {
  get: (_, name) => (/** @type {unknown[]} */ ...args) =>
    isAttributes(args[0])
      ? createElement(/** @type {any} */ (name), /** @type {any} */ (args[0]), .../** @type {any[]} */ (args.slice(1)))
      : createElement(/** @type {any} */ (name), null, .../** @type {any[]} */ (args)),
});

/** Draws a component of our own, keyed where it stands in a list.
 * @template P
 * @param {(props: P) => Children} component
 * @param {P & { key?: string | number }} props
 * @returns {Drawn} */
export function part(component, props) {
  return createElement(/** @type {any} */ (component), /** @type {any} */ (props));
}

/** Puts children side by side without an element around them.
 * @param {Children[]} children */
export function several(...children) {
  return createElement(Fragment, null, ...children);
}
