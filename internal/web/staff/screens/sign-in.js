// Signing in with a password, at the counter and in the office.
import { el, part, useSignal } from "../kit/view.js";
import { Field, Trouble } from "../kit/parts.js";
import { signIn } from "../lib/api.js";
import { at } from "../lib/place.js";
import { w } from "../words/words.js";

export function SignIn() {
  const busy = useSignal(false);
  const trouble = useSignal(/** @type {unknown} */ (null));
  /** @param {SubmitEvent} event */
  async function submit(event) {
    event.preventDefault();
    const typed = new FormData(/** @type {HTMLFormElement} */ (event.target));
    const text = (/** @type {string} */ name) => String(typed.get(name) ?? "");
    busy.value = true;
    trouble.value = null;
    try {
      await signIn({ shop: text("shop").trim(), login: text("login").trim(), password: text("password") });
    } catch (caught) {
      trouble.value = caught;
    } finally {
      busy.value = false;
    }
  }
  return el.main({ class: "narrow" },
    el.h1(w.signIn.title),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    el.form({ onSubmit: submit },
      part(Field, { name: "shop", label: w.signIn.shop, hint: w.signIn.shopHint, autocomplete: "organization" }),
      part(Field, { name: "login", label: w.signIn.login, autocomplete: "username" }),
      part(Field, { name: "password", label: w.signIn.password, type: "password", autocomplete: "current-password" }),
      el.button({ type: "submit", disabled: busy.value }, busy.value ? w.signIn.busy : w.ok.signIn)),
    el.p(el.a({ class: "onward", href: at("/enrol") }, w.signOn.enrolLink)));
}
