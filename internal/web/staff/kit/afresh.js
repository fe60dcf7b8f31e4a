// Some acts ask for the password once more. The question comes as a dialog over
// the screen, so that what was typed behind it stays.
import { el, part, signal, useEffect, useRef, useSignal } from "./view.js";
import { Field } from "./parts.js";
import { Refused } from "./form.js";
import { person, Problem, read, signIn } from "../lib/api.js";
import { w } from "../words/words.js";

/** @type {import("./view.js").Live<{ answer: (typed: boolean) => void } | null>} */
const asked = signal(/** @type {any} */ (null));

/** Does work that may want the password once more; asks for it and does the
 * work again. Leaving the question gives the refusal.
 * @template T @param {() => Promise<T>} work @returns {Promise<T>} */
export async function afresh(work) {
  try {
    return await work();
  } catch (caught) {
    if (!(caught instanceof Problem) || caught.code !== "app.sign_in_afresh") throw caught;
    const typed = await new Promise((answer) => { asked.value = { answer }; });
    asked.value = null;
    if (!typed) throw caught;
    return await work();
  }
}

/** The question, where one is asked; it stands once in the app. */
export function Afresh() {
  return asked.value ? part(Question, { answer: asked.value.answer }) : null;
}

/** @param {{ answer: (typed: boolean) => void }} props */
function Question({ answer }) {
  const box = useRef(/** @type {HTMLDialogElement | null} */ (null));
  const busy = useSignal(false);
  const trouble = useSignal(/** @type {unknown} */ (null));
  useEffect(() => { box.current?.showModal(); }, []);
  /** @param {SubmitEvent} event */
  async function submit(event) {
    event.preventDefault();
    const password = String(new FormData(/** @type {HTMLFormElement} */ (event.target)).get("password-again") ?? "");
    [busy.value, trouble.value] = [true, null];
    try {
      const [shop, me] = await Promise.all([read("/v1/shop"), read("/v1/staff/{id}", { path: { id: person.value?.staff_id ?? "" } })]);
      await signIn({ shop: shop.value.slug, login: me.value.login, password });
      answer(true);
    } catch (caught) {
      trouble.value = caught;
    } finally {
      busy.value = false;
    }
  }
  return el.dialog({ ref: box, class: "ask", "aria-labelledby": "afresh-title", onCancel: () => answer(false) },
    el.h2({ id: "afresh-title" }, w.afresh.title),
    el.p(w.afresh.why(person.value?.name ?? "")),
    trouble.value ? part(Refused, { trouble: trouble.value }) : null,
    el.form({ onSubmit: submit },
      part(Field, { name: "password-again", label: w.signIn.password, type: "password", autocomplete: "current-password" }),
      el.div({ class: "acts" },
        el.button({ type: "submit", disabled: busy.value }, w.afresh.act),
        el.button({ type: "button", class: "quiet", onClick: () => answer(false) }, w.ok.leave))));
}
