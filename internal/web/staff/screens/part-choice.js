// Which part a finding is about: the parts of the machine's map as large
// buttons, found by a few letters, or any part by its plain name.
import { el, part, several, useSignal } from "../kit/view.js";
import { nameOf } from "../lib/names.js";
import { w } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */

/** So many parts stand there at once; a few letters find the others. */
const most = 24;

/** @param {{ map: Schemas["MachineMap"] | null, order: Map<string, number>, value: string, picking: boolean, pick: (value: string, picking: boolean) => void }} props */
export function PartChoice({ map, order, value, picking, pick }) {
  const components = map?.components ?? [];
  if (components.length === 0) {
    return el.div({ class: "field" }, el.label({ for: "component" }, w.finding.component),
      el.input({ id: "component", required: true, maxLength: 200, autocomplete: "off", value, onInput: (event) => pick(event.currentTarget.value, true) }));
  }
  if (!picking) {
    return el.div({ class: "picked" }, el.p(el.span({ class: "hint" }, w.finding.component), el.b(nameOf(map, value))),
      el.button({ type: "button", class: "quiet big", onClick: () => pick(value, true) }, w.capture.change));
  }
  return part(Search, { map: /** @type {Schemas["MachineMap"]} */ (map), order, pick });
}

/** @param {{ map: Schemas["MachineMap"], order: Map<string, number>, pick: (value: string, picking: boolean) => void }} props */
function Search({ map, order, pick }) {
  const typed = useSignal("");
  const all = useSignal(false);
  const words = typed.value.trim().toLowerCase().split(/\s+/).filter(Boolean);
  const place = (/** @type {string | undefined} */ key) => order.get(key ?? "") ?? order.size;
  const components = (map.components ?? []).toSorted((a, b) => place(a.key) - place(b.key)).filter((c) => words.every((word) => `${c.name} ${nameOf(map, c.assembly ?? "")}`.toLowerCase().includes(word)));
  const shown = all.value ? components : components.slice(0, most);
  return several(
    el.div({ class: "field" }, el.label({ for: "component" }, w.capture.fewer),
      el.input({ id: "component", type: "search", autocomplete: "off", maxLength: 200, value: typed.value, onInput: (event) => { typed.value = event.currentTarget.value; } })),
    el.div({ class: "tiles", role: "group", "aria-label": w.finding.component },
      shown.map((c) => el.button({ key: c.key, type: "button", class: "tile", onClick: () => pick(c.key ?? "", false) }, c.name)),
      typed.value.trim() ? el.button({ type: "button", class: "tile", onClick: () => pick(typed.value.trim(), false) }, `“${typed.value.trim()}”`) : null,
      components.length > shown.length ? el.button({ type: "button", class: "quiet big", onClick: () => { all.value = true; } }, `${w.capture.all} (${components.length})`) : null));
}
