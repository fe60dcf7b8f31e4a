// Who works here: roles, who rides, who may sign in; one's own PIN and password.
// Giving away roles and passwords asks for one's own password once more.
import { el, part, several } from "../../kit/view.js";
import { afresh } from "../../kit/afresh.js";
import { ChoiceField, formOf, FormOf, refuse, row, TextField, TickField } from "../../kit/form.js";
import { person, readAll, send } from "../../lib/api.js";
import { atOffice } from "./shell.js";
import { day, today, w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

export const Staff = atOffice("staff", async () => ({ people: await readAll("/v1/staff") }), ({ people }, again) => several(
  el.section(el.h2(w.office.people, el.span({ class: "count" }, String(people.filter((p) => !p.disabled).length))),
    el.ul({ class: "sheet" }, people.map((p) => part(OnePerson, { key: p.id, one: p, people, again }))),
    el.details(el.summary(w.office.addPerson), part(AddPerson, { again }))),
  el.section(el.h2(w.office.yours), part(OwnPin, {}), part(OwnPassword, {}))));

/** What of a person's form is a role. @param {{ technician: boolean, advisor: boolean, owner: boolean }} t */
const rolesOf = (t) => /** @type {("technician" | "advisor" | "owner")[]} */ (["technician", "advisor", "owner"]).filter((role) => t[role]);

/** @param {{ form: import("../../kit/form.js").Form<any> }} props */
function Roles({ form }) {
  const wrong = form.wrong("/roles");
  return el.fieldset({ class: "picks" }, el.legend(w.office.roles), wrong ? el.p({ class: "wrong" }, wrong) : null,
    Object.entries(w.office.roleWords).map(([role, word]) => el.label({ key: role, class: "pick" },
      el.input({ type: "checkbox", checked: form.draft.value[role], onChange: (event) => form.set({ [role]: event.currentTarget.checked }) }), word)));
}

/** @param {{ key: string, one: Schemas["Staff"], people: Schemas["Staff"][], again: () => void }} props */
function OnePerson({ one: p, people, again }) {
  const form = formOf(`staff ${p.id} ${p.version}`, () => ({ name: p.name, login: p.login, technician: p.roles.includes("technician"), advisor: p.roles.includes("advisor"), owner: p.roles.includes("owner"),
    rides: p.rides, licence_until: p.licence_until ?? "", disabled: p.disabled, same_person_as_id: p.same_person_as_id ?? "" }));
  const submit = async () => {
    const done = await form.send((t) => afresh(() => send("put", "/v1/staff/{id}", { path: { id: p.id } }, { login: t.login.trim(), name: t.name.trim(), roles: rolesOf(t), rides: t.rides, licence_until: t.licence_until || null,
      disabled: t.disabled, same_person_as_id: t.same_person_as_id || null }, { match: `"${p.version}"` })));
    if (done) again();
  };
  const said = [p.roles.map((r) => w.office.roleWords[r]).join(", "), p.rides ? w.office.rides : "", p.has_pin ? w.office.hasPin : "", p.disabled ? w.office.left : ""].filter(Boolean).join(" · ");
  const late = p.rides && p.licence_until && p.licence_until < today(new Date());
  return el.li(el.details(
    el.summary(el.span({ class: "grow" }, p.name, el.span({ class: "hint" }, ` · ${p.login} · ${said}`)), late ? el.b(`${w.office.licenceOver} ${day(p.licence_until ?? "")}`) : null),
    part(FormOf, { form, act: w.ok.save, quiet: true, submit, children: [
      row(part(TextField, { form, name: "name", label: w.counter.name, needed: true }), part(TextField, { form, name: "login", label: w.signIn.login, needed: true })),
      part(Roles, { key: "r", form }),
      row(part(TickField, { form, name: "rides", label: w.office.mayRide }), part(TextField, { form, name: "licence_until", label: w.office.licenceUntil, type: "date" })),
      part(ChoiceField, { key: "s", form, name: "same_person_as_id", label: w.office.samePerson, hint: w.office.samePersonHint, none: w.office.nobodyElse, words: Object.fromEntries(people.filter((o) => o.id !== p.id).map((o) => [o.id, o.name])) }),
      part(TickField, { key: "d", form, name: "disabled", label: w.office.mayNot })] }),
    p.id === person.value?.staff_id ? null : part(NewPassword, { one: p })));
}

/** @param {{ one: Schemas["Staff"] }} props */
function NewPassword({ one }) {
  const form = formOf(`password ${one.id}`, () => ({ new_password: "" }));
  return el.details(el.summary(w.office.newPassword), el.p({ class: "hint" }, w.office.newPasswordHint),
    part(FormOf, { form, act: w.office.setPassword, quiet: true, submit: () => form.send((t, key) => afresh(() => send("post", "/v1/staff/{id}/password", { path: { id: one.id } }, { new_password: t.new_password }, { key }))),
      children: part(TextField, { form, name: "new_password", label: w.office.newPassword, hint: w.office.passwordHint, type: "password", complete: "new-password", needed: true, most: 1024 }) }));
}

/** @param {{ again: () => void }} props */
function AddPerson({ again }) {
  const form = formOf("staff new", () => ({ name: "", login: "", password: "", technician: true, advisor: false, owner: false, rides: false }));
  const submit = async () => {
    const done = await form.send((t, key) => afresh(() => send("post", "/v1/staff", {}, { login: t.login.trim(), name: t.name.trim(), roles: rolesOf(t), password: t.password, rides: t.rides }, { key })));
    if (done) again();
  };
  return part(FormOf, { form, act: w.office.addPerson, submit, children: [
    row(part(TextField, { form, name: "name", label: w.counter.name, needed: true }), part(TextField, { form, name: "login", label: w.signIn.login, hint: w.office.loginHint, needed: true })),
    part(Roles, { key: "r", form }),
    row(part(TextField, { form, name: "password", label: w.office.firstPassword, hint: w.office.passwordHint, type: "password", complete: "new-password", needed: true, most: 1024 }), part(TickField, { form, name: "rides", label: w.office.mayRide }))] });
}

function OwnPin() {
  const form = formOf("own pin", () => ({ pin: "", twice: "", password: "" }));
  const submit = () => form.send(async (t, key) => {
    if (!/^\d{4,8}$/.test(t.pin)) throw refuse("/pin", w.office.pinUnclear);
    if (t.pin !== t.twice) throw refuse("/twice", w.office.pinTwice);
    await send("post", "/v1/me/pin", {}, { pin: t.pin, password: t.password }, { key });
  });
  return el.details(el.summary(w.office.ownPin), el.p({ class: "hint" }, w.office.pinHint), part(FormOf, { form, act: w.ok.save, quiet: true, submit, children: [
    row(part(TextField, { form, name: "pin", label: w.office.pin, type: "password", mode: "numeric", complete: "off", needed: true, most: 8 }), part(TextField, { form, name: "twice", label: w.office.pinAgain, type: "password", mode: "numeric", needed: true, most: 8 }),
      part(TextField, { form, name: "password", label: w.signIn.password, type: "password", complete: "current-password", needed: true, most: 1024 }))] }));
}

function OwnPassword() {
  const form = formOf("own password", () => ({ old_password: "", new_password: "" }));
  return el.details(el.summary(w.office.ownPassword), part(FormOf, { form, act: w.ok.save, quiet: true,
    submit: () => form.send((t, key) => send("post", "/v1/me/password", {}, t, { key })),
    children: row(part(TextField, { form, name: "old_password", label: w.office.oldPassword, type: "password", complete: "current-password", needed: true, most: 1024 }),
      part(TextField, { form, name: "new_password", label: w.office.newPassword, hint: w.office.passwordHint, type: "password", complete: "new-password", needed: true, most: 1024 })) }));
}
