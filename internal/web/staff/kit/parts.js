// The small parts every screen is made of.
import { sentence, w } from "../words/words.js";
import { el, part } from "./view.js";

/** A refusal, in words, where it happened; `again` offers another try.
 * @param {{ trouble: unknown, again?: () => void }} props */
export function Trouble({ trouble, again }) {
  return el.div({ class: "trouble", role: "alert" },
    el.p(el.b(w.trouble.title), " ", sentence(trouble)),
    again ? el.button({ type: "button", class: "quiet", onClick: again }, w.ok.again) : null);
}

/** Says that there is nothing to show, never with anything else in its place. */
export const NoData = () => el.p({ class: "no-data" }, w.trouble.noData);

/** A line of text to type, with its label and what is wrong with it.
 * @param {{ name: string, label: string, hint?: string, type?: string, autocomplete?: string, wrong?: string, value?: string }} props */
export function Field({ name, label, hint, type = "text", autocomplete = "off", wrong, value }) {
  const about = [hint && `${name}-hint`, wrong && `${name}-wrong`].filter(Boolean).join(" ") || undefined;
  return el.div({ class: "field" },
    el.label({ for: name }, label),
    hint ? el.p({ id: `${name}-hint`, class: "hint" }, hint) : null,
    wrong ? el.p({ id: `${name}-wrong`, class: "wrong" }, wrong) : null,
    el.input({ id: name, name, type, defaultValue: value, autocomplete: /** @type {any} */ (autocomplete), autocapitalize: "none", spellcheck: false, required: true,
      "aria-invalid": wrong ? "true" : undefined, "aria-describedby": about }));
}

/** Shows what was read, or why it was not.
 * @template T
 * @param {{ loaded: { value?: T, trouble?: unknown }, again: () => void, show: (value: T) => import("./view.js").Children }} props */
export function Read({ loaded, again, show }) {
  if (loaded.value !== undefined) return el.div(loaded.trouble ? part(Trouble, { trouble: loaded.trouble, again }) : null, show(loaded.value));
  if (loaded.trouble) return el.div(part(NoData, {}), part(Trouble, { trouble: loaded.trouble, again }));
  return el.p({ class: "waiting", role: "status" }, "…");
}
