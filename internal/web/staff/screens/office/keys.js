// The journal's signing key, what it has signed, and what to keep where.
import { el, part, several, useSignal } from "../../kit/view.js";
import { NoData, Trouble } from "../../kit/parts.js";
import { Problem, read, readAll, signed } from "../../lib/api.js";
import { keepBlob } from "../../lib/files.js";
import { atOffice } from "./shell.js";
import { number, span, w, when } from "../../words/words.js";

/** Reads the newest signed state as it was signed; "" before the first.
 * @returns {Promise<string>} */
async function readNote() {
  try {
    return await (await signed("GET", "/v1/journal/checkpoint", undefined, { Accept: "text/plain" })).text();
  } catch (caught) {
    if (caught instanceof Problem && caught.status === 404) return "";
    throw caught;
  }
}

/** @param {string} note @param {string} size */
const keepNote = (note, size) => keepBlob(new Blob([note], { type: "text/plain" }), `checkpoint-${size}.txt`);

export const Keys = atOffice("keys", async () => {
  const [keys, note, events] = await Promise.all([read("/v1/journal/key"), readNote(), read("/v1/security-events", { query: { limit: 20 } })]);
  return { keys: keys.value.items, note, events: events.value.items };
}, ({ keys, note, events }) => several(
  el.section(el.h2(w.office.key), el.p({ class: "hint" }, w.office.keyHint),
    el.ul({ class: "sheet" }, keys.map((k) => el.li({ key: k.key }, el.details({ open: k.signs_until === null },
      el.summary(el.span({ class: "grow" }, k.signs_until === null ? w.office.signsNow : w.office.signedUntil(when(k.signs_until)), el.span({ class: "hint" }, ` · ${w.office.since} ${when(k.signs_from)}`))),
      el.dl({ class: "facts" }, el.dt(w.office.fingerprint), el.dd({ class: "code" }, k.fingerprint), el.dt(w.office.asVerify), el.dd({ class: "code broken" }, k.key))))))),
  el.section(el.h2(w.office.checkpoints), el.p({ class: "hint" }, w.office.checkpointsHint),
    note ? part(Newest, { note }) : part(NoData, {}), part(Earlier, {})),
  el.section(el.h2(w.office.backup), el.ul({ class: "plain" }, w.office.backupWords.map((text, i) => el.li({ key: i }, text)))),
  el.section(el.h2(w.office.events), events.length === 0 ? el.p({ class: "hint" }, w.office.noEvents)
    : el.ul({ class: "rows" }, events.map((e) => el.li({ key: e.id }, el.span(e.note || e.kind), el.span({ class: "hint" }, `${when(e.happened_at)}${e.ip ? ` · ${e.ip}` : ""}`)))))));

/** The newest signed state: origin, size and root, by the lines of its note.
 * @param {{ note: string }} props */
function Newest({ note }) {
  const [, size = "", root = ""] = note.split("\n");
  return several(
    el.dl({ class: "facts" }, el.dt(w.office.entries), el.dd(number(Number(size))), el.dt(w.office.root), el.dd({ class: "code broken" }, root)),
    el.div({ class: "acts" }, el.button({ type: "button", onClick: () => keepNote(note, size) }, w.office.keepNote)));
}

/** Those before it; they are many, so they come when asked for. */
function Earlier() {
  const rows = useSignal(/** @type {import("../../lib/api.js").Schemas["Checkpoint"][] | null} */ (null));
  const trouble = useSignal(/** @type {unknown} */ (null));
  const load = () => readAll("/v1/journal/checkpoints").then((all) => { rows.value = all.toReversed(); }, (caught) => { trouble.value = caught; });
  return el.details({ onToggle: (event) => { if (event.currentTarget.open && !rows.value) load(); } }, el.summary(w.office.earlier),
    trouble.value ? part(Trouble, { trouble: trouble.value, again: load }) : null,
    el.ul({ class: "rows" }, (rows.value ?? []).map((c) => el.li({ key: c.tree_size }, el.span(when(c.signed_at), el.span({ class: "hint" }, ` · ${w.office.ago(span(c.signed_at, new Date()))} · ${w.office.entries} ${number(c.tree_size)}`)),
      el.button({ type: "button", class: "quiet", onClick: () => keepNote(c.note, String(c.tree_size)) }, w.office.keepNote)))));
}
