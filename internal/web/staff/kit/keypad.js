// Large keys to type a reading with a glove: figures, one decimal mark, a
// fraction, minus. The unit is a key of its own and never guessed.
import { el } from "./view.js";
import { w } from "../words/words.js";

const keys = ["7", "8", "9", "4", "5", "6", "1", "2", "3", "0", ".", "/", "−"];

/** @param {{ value: string, label: string, unit: string, echo: string, ready: boolean, type: (value: string) => void, turn: () => void, take: () => void, save: () => void }} props */
export function Keypad({ value, label, unit, echo, ready, type, turn, take, save }) {
  /** @param {string} key */
  const press = (key) => {
    const sign = key === "−" ? "-" : key;
    if (sign === "." && /[.,][^ /]*$/.test(value)) return;
    type(sign === "-" ? (value.startsWith("-") ? value.slice(1) : `-${value}`) : value + sign);
  };
  return el.form({ class: "keypad", onSubmit: (event) => { event.preventDefault(); take(); } },
    el.label({ for: "reading" }, label),
    el.div({ class: "typed" }, el.input({ id: "reading", inputMode: "none", autocomplete: "off", maxLength: 40, value, onInput: (event) => type(event.currentTarget.value) }), el.span({ "aria-hidden": "true" }, unit)),
    el.p({ class: "echo", role: "status" }, echo),
    el.div({ class: "keys" },
      keys.map((key) => el.button({ key, type: "button", class: "key", onClick: () => press(key) }, key)),
      el.button({ type: "button", class: "key", "aria-label": w.pad.back, onClick: () => type(value.slice(0, -1)) }, "⌫"),
      el.button({ type: "button", class: "key unit", onClick: turn }, w.pad.unit(unit))),
    el.button({ type: "submit", class: "quiet big", disabled: value.trim() === "" }, w.pad.next),
    el.button({ type: "button", class: "big", disabled: !ready, onClick: save }, w.pad.save));
}
