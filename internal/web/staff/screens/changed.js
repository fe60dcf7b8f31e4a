// Changed by someone else too: what this tablet says and what the server says,
// side by side where they differ. Nobody's words are lost until a person chose,
// and the choice can be taken back.
import { el, part, several } from "../kit/view.js";
import { Mark } from "../kit/grade.js";
import { settle, waiting } from "../lib/outbox.js";
import { at } from "../lib/place.js";
import { sendNow } from "../lib/sending.js";
import { w, when } from "../words/words.js";

/** @typedef {import("../lib/outbox.js").Row} Row */

/** Names of fields whose two values differ, as the tablet knows them.
 * @param {any} mine @param {any} theirs */
export function differences(mine, theirs) {
  const plain = (/** @type {unknown} */ value) => JSON.stringify(value ?? "");
  return Object.keys(mine).filter((name) => name !== "captured_at" && plain(mine[name] ?? "") !== plain(theirs[name] ?? ""));
}

/** @param {{ key: string, id: string }} props */
export function Changed({ id }) {
  const row = waiting.value?.find((r) => r.id === id);
  return el.main(el.h1(w.conflict.title),
    row?.theirs ? part(Both, { row, theirs: row.theirs }) : several(
      el.p({ class: "lead" }, waiting.value === null ? w.outbox.unknown : row?.aside ? w.outbox.asideState : w.conflict.undone),
      row?.aside ? el.button({ type: "button", class: "big", onClick: () => { settle(row, (now) => ({ ...now, aside: false })).then(sendNow); } }, w.capture.undo) : null,
      el.p(el.a({ class: "button-like", href: at("/unsent") }, w.outbox.title))));
}

/** @param {{ row: Row, theirs: NonNullable<Row["theirs"]> }} props */
function Both({ row, theirs }) {
  const names = differences(row.body, theirs.value);
  return several(
    el.p({ class: "lead" }, w.conflict.lead),
    el.h2({ class: "of-what" }, `${w.outbox.kinds[row.kind]}: ${row.about}`),
    el.table({ class: "both" },
      el.thead(el.tr(el.td(), el.th({ scope: "col" }, w.conflict.mine), el.th({ scope: "col" }, w.conflict.theirs))),
      el.tbody(names.map((name) => el.tr({ key: name }, el.th({ scope: "row" }, label(name)), el.td({ "data-of": w.conflict.mine }, shown(name, row.body[name])), el.td({ "data-of": w.conflict.theirs }, shown(name, theirs.value[name])))))),
    el.p({ class: "hint" }, w.conflict.same),
    el.div({ class: "acts" },
      el.button({ type: "button", class: "big", onClick: () => { settle(row, (now) => ({ ...now, etag: theirs.etag, tried: [], theirs: null })).then(sendNow); } }, w.conflict.keepMine),
      el.button({ type: "button", class: "big", onClick: () => { settle(row, (now) => ({ ...now, aside: true, theirs: null, etag: theirs.etag, tried: [] })); } }, w.conflict.takeTheirs)));
}

/** @param {string} name */
const label = (name) => w.conflict.fields[/** @type {keyof typeof w.conflict.fields} */ (name)] ?? name.replaceAll("_", " ");

/** @param {string} name @param {any} value */
function shown(name, value) {
  if (value === null || value === undefined || value === "") return el.span({ class: "hint" }, w.finding.nothing);
  if (name === "looked_at_grade") return part(Mark, { grade: value });
  const words = /** @type {Record<string, Record<string, string>>} */ (/** @type {unknown} */ ({ damage_mode: w.damage, advised: w.advice, safe_to_ride: w.finding.safeWords }))[name];
  if (words) return words[value] ?? String(value);
  if (typeof value === "boolean") return value ? w.finding.safeWords.yes : w.finding.safeWords.no;
  if (name === "captured_at") return when(value);
  return typeof value === "object" ? el.code(JSON.stringify(value)) : String(value);
}
