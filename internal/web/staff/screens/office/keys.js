// The journal's signing key, what it has signed, and what to keep where.
import { el, part, several } from "../../kit/view.js";
import { NoData } from "../../kit/parts.js";
import { read } from "../../lib/api.js";
import { keepBlob } from "../../lib/files.js";
import { atOffice } from "./shell.js";
import { number, span, w, when } from "../../words/words.js";

export const Keys = atOffice("keys", async () => {
  const [keys, checkpoints, events] = await Promise.all([read("/v1/journal/key"), read("/v1/journal/checkpoints", { query: { limit: 20 } }), read("/v1/security-events", { query: { limit: 20 } })]);
  return { keys: keys.value.items, checkpoints: checkpoints.value.items, events: events.value.items };
}, ({ keys, checkpoints, events }) => several(
  el.section(el.h2(w.office.key), el.p({ class: "hint" }, w.office.keyHint),
    el.ul({ class: "sheet" }, keys.map((k) => el.li({ key: k.key }, el.details({ open: k.signs_until === null },
      el.summary(el.span({ class: "grow" }, k.signs_until === null ? w.office.signsNow : w.office.signedUntil(when(k.signs_until)), el.span({ class: "hint" }, ` · ${w.office.since} ${when(k.signs_from)}`))),
      el.dl({ class: "facts" }, el.dt(w.office.fingerprint), el.dd({ class: "code" }, k.fingerprint), el.dt(w.office.asVerify), el.dd({ class: "code broken" }, k.key))))))),
  el.section(el.h2(w.office.checkpoints), el.p({ class: "hint" }, w.office.checkpointsHint),
    checkpoints.length === 0 ? part(NoData, {}) : el.table({ class: "figures" },
      el.thead(el.tr(el.th({ scope: "col" }, w.office.signedAt), el.th({ scope: "col" }, w.office.entries), el.th({ scope: "col" }, w.office.asSigned))),
      el.tbody(checkpoints.map((c) => el.tr({ key: c.note }, el.th({ scope: "row" }, when(c.signed_at), el.span({ class: "hint" }, ` · ${w.office.ago(span(c.signed_at, new Date()))}`)), el.td(number(c.tree_size)),
        el.td(el.button({ type: "button", class: "quiet", onClick: () => keepBlob(new Blob([c.note], { type: "text/plain" }), `checkpoint-${c.tree_size}.txt`) }, w.office.keepNote))))))),
  el.section(el.h2(w.office.backup), el.ul({ class: "plain" }, w.office.backupWords.map((text, i) => el.li({ key: i }, text)))),
  el.section(el.h2(w.office.events), events.length === 0 ? el.p({ class: "hint" }, w.office.noEvents)
    : el.ul({ class: "rows" }, events.map((e) => el.li({ key: e.id }, el.span(e.note || e.kind), el.span({ class: "hint" }, `${when(e.happened_at)}${e.ip ? ` · ${e.ip}` : ""}`)))))));
