// Not sent yet: everything this tablet holds that the server does not, where
// each thing stands, and what a person can do about it.
import { el, part, several, useEffect, useSignal } from "../kit/view.js";
import { Trouble } from "../kit/parts.js";
import { person } from "../lib/api.js";
import { persist } from "../lib/disk.js";
import { changed, settle, waiting } from "../lib/outbox.js";
import { at } from "../lib/place.js";
import { of, sending, sendNow } from "../lib/sending.js";
import { lately, w } from "../words/words.js";

/** @typedef {import("../lib/outbox.js").Row} Row */

export function Unsent() {
  const rows = waiting.value;
  const stays = useSignal(/** @type {boolean | null | undefined} */ (undefined));
  useEffect(() => { persist().then((answer) => { stays.value = answer; }, () => { stays.value = null; }); }, []);
  return el.main(
    el.header({ class: "top-line" }, el.h1(w.outbox.title),
      el.button({ type: "button", class: "big", disabled: sending.value || !rows?.length, onClick: () => { sendNow(); } }, sending.value ? w.outbox.sending : w.outbox.sendNow)),
    rows === null ? part(Trouble, { trouble: { message: w.outbox.unknown }, again: () => { changed(); } }) : null,
    rows?.length === 0 ? el.p({ class: "lead" }, w.outbox.none) : null,
    el.ul({ class: "findings" }, rows?.map((row) => part(Waits, { key: row.id, row }))),
    el.p({ class: "hint fine" }, stays.value === undefined ? "" : w.outbox.stays[stays.value === null ? "unknown" : stays.value ? "yes" : "no"],
      " ", navigator.serviceWorker?.controller ? w.outbox.shell.yes : w.outbox.shell.no));
}

/** @param {{ key: string, row: Row }} props */
function Waits({ row }) {
  return el.li(
    el.div({ class: "finding-head" }, el.b(`${w.outbox.kinds[row.kind]}: ${row.about}`), el.a({ class: "button-like", href: at(`/jobs/${row.job}`) }, w.outbox.openJob)),
    el.p(part(State, { row })),
    row.refused ? part(Refused, { row }) : null,
    row.theirs ? el.p(el.a({ class: "button-like", href: at(`/changed/${row.id}`) }, w.outbox.choose)) : null,
    row.aside ? el.button({ type: "button", class: "quiet big", onClick: () => { bring(row); } }, w.outbox.back) : null);
}

/** Where a thing that waits stands, in a sentence. @param {{ row: Row }} props */
function State({ row }) {
  const me = person.value;
  if (row.aside) return w.outbox.asideState;
  if (row.theirs) return w.outbox.theirs;
  const here = w.outbox.here(lately(row.savedAt));
  return me && !of(row, me) ? `${here}. ${w.outbox.other(row.byName)}.` : here;
}

/** @param {{ row: Row }} props */
function Refused({ row }) {
  const refused = /** @type {NonNullable<Row["refused"]>} */ (row.refused);
  return several(
    el.div({ class: "wrong" }, el.p(`${w.outbox.refused} ${refused.title}`),
      el.ul({ class: "plain" }, [...refused.fields.map((f) => f.message), ...refused.gates].map((line, i) => el.li({ key: i }, line)))),
    el.p({ class: "hint" }, w.outbox.refusedHint),
    el.div({ class: "acts" },
      el.button({ type: "button", class: "big", onClick: () => { bring(row); } }, w.ok.again),
      el.button({ type: "button", class: "quiet big", onClick: () => { settle(row, (now) => ({ ...now, aside: true, refused: null })); } }, w.outbox.aside)));
}

/** Lets a row go again. @param {Row} row */
async function bring(row) {
  await settle(row, (now) => ({ ...now, aside: false, refused: null }));
  sendNow();
}
