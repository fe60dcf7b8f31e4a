// Screens that are not needed at first: their files come when they are asked for.
import { Trouble } from "./parts.js";
import { el, part, useEffect, useSignal } from "./view.js";

/** @typedef {(props: any) => import("./view.js").Children} Component */

/** Draws a component of a file once the file is there.
 * @param {{ key: string, load: () => Promise<Component>, props?: object }} of */
export function Later({ load, props = {} }) {
  const got = useSignal(/** @type {{ draw?: Component, trouble?: unknown }} */ ({}));
  const ask = () => { got.value = {}; load().then((draw) => { got.value = { draw }; }, () => { got.value = { trouble: { status: 0 } }; }); };
  useEffect(ask, []);
  if (got.value.trouble) return el.main({ class: "narrow" }, part(Trouble, { trouble: got.value.trouble, again: ask }));
  return got.value.draw ? part(got.value.draw, props) : el.p({ class: "waiting", role: "status" }, "…");
}
