// What every page of the office shows around itself.
import { el, part, several, useEffect, useSignal } from "../../kit/view.js";
import { Read } from "../../kit/parts.js";
import { loading } from "../../lib/loading.js";
import { at } from "../../lib/place.js";
import { w } from "../../words/words.js";

/** Makes a page of the office: it reads, then shows.
 * @template T
 * @param {keyof typeof w.office.pages} page @param {() => Promise<T>} gather @param {(all: T, again: () => void) => import("../../kit/view.js").Children} show
 * @returns {() => import("../../kit/view.js").Drawn} */
export const atOffice = (page, gather, show) => () => part(AtOffice, { page, gather: /** @type {any} */ (gather), show: /** @type {any} */ (show) });

/** @template T
 * @param {{ page: keyof typeof w.office.pages, gather: () => Promise<T>, show: (all: T, again: () => void) => import("../../kit/view.js").Children }} props */
function AtOffice({ page, gather, show }) {
  const held = useSignal(loading());
  const { shown, load } = /** @type {ReturnType<typeof loading<T>>} */ (held.value);
  const again = () => load(gather, { keep: true });
  useEffect(() => { load(gather); }, []);
  return el.main({ class: "counter office" },
    el.h1(w.office.title),
    el.nav({ class: "pages", "aria-label": w.office.pagesLabel }, /** @type {[string, string][]} */ (Object.entries(w.office.pages)).map(([key, word]) =>
      el.a({ key, href: at(`/office/${key}`), "aria-current": key === page ? "page" : undefined }, word))),
    part(Read, { loaded: shown.value, again, show: (/** @type {T} */ all) => several(show(all, again)) }));
}
