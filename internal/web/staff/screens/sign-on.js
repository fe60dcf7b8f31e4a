// Signing on at a tablet: a name, a short PIN, on. Large enough for gloves, and
// quick enough to change places in five seconds.
import { el, part, several, useEffect, useRef, useSignal } from "../kit/view.js";
import { Refused } from "../kit/form.js";
import { enrol, people, signOn } from "../lib/tablet.js";
import { at } from "../lib/place.js";
import { w } from "../words/words.js";

export function SignOn() {
  const who = useSignal(/** @type {import("../lib/tablet.js").Someone | null} */ (null));
  const all = people.value ?? [];
  if (who.value) return part(Pin, { key: who.value.id, who: who.value, back: () => { who.value = null; } });
  return el.main({ class: "narrow sign-on" }, el.h1(w.signOn.title),
    all.length === 0 ? el.p(w.signOn.nobody) : null,
    el.ul({ class: "people" }, all.map((p) => el.li({ key: p.id }, el.button({ type: "button", class: "big second", onClick: () => { who.value = p; } }, p.name)))));
}

/** @param {{ key: string, who: import("../lib/tablet.js").Someone, back: () => void }} props */
function Pin({ who, back }) {
  const pin = useSignal("");
  const busy = useSignal(false);
  const trouble = useSignal(/** @type {unknown} */ (null));
  const box = useRef(/** @type {HTMLInputElement | null} */ (null));
  useEffect(() => { box.current?.focus(); }, []);
  /** @param {SubmitEvent} event */
  async function submit(event) {
    event.preventDefault();
    if (busy.value) return;
    [busy.value, trouble.value] = [true, null];
    try {
      await signOn(who.id, pin.value);
    } catch (caught) {
      trouble.value = caught;
      pin.value = "";
      box.current?.focus();
    } finally {
      busy.value = false;
    }
  }
  const press = (/** @type {string} */ digit) => { if (pin.value.length < 8) pin.value += digit; };
  return el.main({ class: "narrow sign-on" }, el.h1(who.name),
    trouble.value ? part(Refused, { trouble: trouble.value }) : null,
    el.form({ onSubmit: submit },
      el.div({ class: "field" }, el.label({ for: "pin" }, w.signOn.pin),
        el.input({ ref: box, id: "pin", type: "password", inputMode: "none", autocomplete: "off", pattern: "[0-9]{4,8}", maxLength: 8, required: true, value: pin.value, onInput: (event) => { pin.value = event.currentTarget.value.replace(/\D/g, ""); } })),
      el.div({ class: "pad" }, ["1", "2", "3", "4", "5", "6", "7", "8", "9"].map((d) => el.button({ key: d, type: "button", class: "second", onClick: () => press(d) }, d)),
        el.button({ type: "button", class: "second", "aria-label": w.signOn.rubOut, onClick: () => { pin.value = pin.value.slice(0, -1); } }, "⌫"),
        el.button({ type: "button", class: "second", onClick: () => press("0") }, "0"),
        el.button({ type: "submit", disabled: busy.value }, w.signOn.act)),
      el.p(el.button({ type: "button", class: "quiet big", onClick: back }, w.signOn.other))));
}

/** Making this browser a tablet of the bench, with a code from the office. */
export function Enrol() {
  const busy = useSignal(false);
  const trouble = useSignal(/** @type {unknown} */ (null));
  const code = useSignal("");
  /** @param {SubmitEvent} event */
  async function submit(event) {
    event.preventDefault();
    [busy.value, trouble.value] = [true, null];
    try {
      await enrol(code.value);
      location.assign(at("/floor"));
    } catch (caught) {
      trouble.value = caught;
      busy.value = false;
    }
  }
  return el.main({ class: "narrow" }, el.h1(w.signOn.enrol), el.p({ class: "hint" }, w.signOn.enrolHint),
    trouble.value ? part(Refused, { trouble: trouble.value }) : null,
    el.form({ onSubmit: submit }, several(
      el.div({ class: "field" }, el.label({ for: "enrol-code" }, w.signOn.code), el.input({ id: "enrol-code", autocomplete: "off", autocapitalize: "none", spellcheck: false, maxLength: 200, required: true, value: code.value, onInput: (event) => { code.value = event.currentTarget.value; } })),
      el.div({ class: "acts" }, el.button({ type: "submit", disabled: busy.value }, w.signOn.enrolAct), el.a({ class: "onward", href: at("/floor") }, w.ok.signIn)))));
}
