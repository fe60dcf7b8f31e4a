// Tablets of the bench: a code to enrol one, when each was last heard of and
// what it has not sent yet, and taking one out of use.
import { el, part, several, useSignal } from "../../kit/view.js";
import { formOf, FormOf, Refused, TextField } from "../../kit/form.js";
import { readAll, send } from "../../lib/api.js";
import { atOffice } from "./shell.js";
import { span, w, when } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

export const Tablets = atOffice("tablets", async () => ({ tablets: await readAll("/v1/tablets") }), ({ tablets }, again) => several(
  el.section(el.h2(w.office.tablets, el.span({ class: "count" }, String(tablets.filter((t) => !t.revoked_at).length))),
    tablets.length === 0 ? el.p({ class: "hint" }, w.office.noTablets) : null,
    el.ul({ class: "sheet" }, tablets.filter((t) => !t.revoked_at).map((t) => part(One, { key: t.id, tablet: t, again })))),
  part(Enrol, { again }),
  tablets.some((t) => t.revoked_at) ? el.section(el.details(el.summary(w.office.outOfUse), el.ul({ class: "rows" }, tablets.filter((t) => t.revoked_at).map((t) => el.li({ key: t.id }, el.span(t.name), el.span({ class: "hint" }, when(t.revoked_at ?? ""))))))) : null));

/** @param {{ key: string, tablet: Schemas["Tablet"], again: () => void }} props */
function One({ tablet, again }) {
  const trouble = useSignal(/** @type {unknown} */ (null));
  const end = () => send("post", "/v1/tablets/{id}/revoke", { path: { id: tablet.id } }, undefined).then(again, (caught) => { trouble.value = caught; });
  const heard = tablet.last_heard_at ? `${w.office.heard} ${when(tablet.last_heard_at)} (${w.office.ago(span(tablet.last_heard_at, new Date()))})` : w.office.neverHeard;
  return el.li(el.details(
    el.summary(el.span({ class: "grow" }, tablet.name, el.span({ class: "hint" }, ` · ${tablet.enrolled_at ? heard : w.office.notEnrolled}`)), el.b(tablet.unsent > 0 ? w.office.unsent(tablet.unsent) : w.office.allSent)),
    trouble.value ? part(Refused, { trouble: trouble.value }) : null,
    el.p({ class: "caution" }, tablet.unsent > 0 ? w.office.endUnsent(tablet.unsent) : w.office.endHint),
    el.button({ type: "button", class: "second", onClick: end }, w.office.endTablet)));
}

/** @param {{ again: () => void }} props */
function Enrol({ again }) {
  const made = useSignal(/** @type {Schemas["TabletEnrolment"] | null} */ (null));
  const form = formOf("tablet new", () => ({ name: "" }));
  const submit = async () => {
    const done = await form.send(async (t, key) => { made.value = (await send("post", "/v1/tablets", {}, { name: t.name.trim() }, { key })).value; });
    if (done) again();
  };
  return el.section(el.h2(w.office.enrol),
    made.value ? el.div({ class: "once", role: "status" }, el.p(el.b(made.value.tablet.name), ` · ${w.office.codeUntil} ${when(made.value.enrol_until)}`), el.p({ class: "hint" }, w.office.codeHint), el.p({ class: "code enrol-code" }, made.value.enrol_code)) : null,
    el.ol({ class: "plain" }, w.office.enrolSteps.map((text, i) => el.li({ key: i }, text))),
    part(FormOf, { form, act: w.office.makeCode, submit, children: part(TextField, { form, name: "name", label: w.office.tabletName, hint: w.office.tabletNameHint, needed: true, most: 200 }) }));
}
