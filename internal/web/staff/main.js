// The staff app: signs on who is there, then shows the screen that the
// address names.
import { el, part, render, useSignal } from "./kit/view.js";
import { Afresh } from "./kit/afresh.js";
import { forgetForms } from "./kit/form.js";
import { Later } from "./kit/later.js";
import { Trouble } from "./kit/parts.js";
import { person, resume, signOut } from "./lib/api.js";
import { waiting } from "./lib/outbox.js";
import { at, follow, place } from "./lib/place.js";
import { keepSending, of, sendNow } from "./lib/sending.js";
import { keepShell } from "./lib/worker.js";
import { lookAround, people, signOff } from "./lib/tablet.js";
import { Floor } from "./screens/floor.js";
import { Job } from "./screens/job.js";
import { Metal } from "./screens/metal.js";
import { SignIn } from "./screens/sign-in.js";
import { WorkOrder } from "./screens/work-order.js";
import { w } from "./words/words.js";

/** @type {{ pattern: RegExp, screen: (found: string[]) => import("./kit/view.js").Drawn }[]} */
const screens = [
  { pattern: /^\/floor$/, screen: () => part(Floor, {}) },
  { pattern: /^\/jobs\/([0-9a-f-]{36})$/, screen: ([id = ""]) => part(Job, { key: id, id }) },
  { pattern: /^\/jobs\/([0-9a-f-]{36})\/metal$/, screen: ([id = ""]) => part(Metal, { key: id, id }) },
  { pattern: /^\/work-orders\/([0-9a-f-]{36})$/, screen: ([id = ""]) => part(WorkOrder, { key: id, id }) },
  { pattern: /^\/messages$/, screen: () => part(Later, { key: "messages", load: () => import("./screens/messages.js").then((m) => m.Messages) }) },
  { pattern: /^\/office(?:\/(\w+))?$/, screen: ([page = "figures"]) => pageOf(officePages, page, {}) },
  { pattern: /^\/intake$/, screen: () => part(Later, { key: "intake", load: () => import("./screens/intake.js").then((m) => m.Intake) }) },
  { pattern: /^\/jobs\/([0-9a-f-]{36})\/counter(?:\/(\w+))?$/, screen: ([id = "", page = "now"]) => pageOf(counterPages, page, { id }) },
  { pattern: /^\/unsent$/, screen: () => part(Later, { key: "unsent", load: () => import("./screens/unsent.js").then((m) => m.Unsent) }) },
  { pattern: /^\/jobs\/([0-9a-f-]{36})\/readings\/([0-9a-f-]{36})$/, screen: ([id = "", finding = ""]) => part(Later, { key: `${id} ${finding}`, load: () => import("./screens/readings.js").then((m) => m.Readings), props: { key: finding, id, finding } }) },
  { pattern: /^\/changed\/([0-9a-f-]{36})$/, screen: ([id = ""]) => part(Later, { key: id, load: () => import("./screens/changed.js").then((m) => m.Changed), props: { key: id, id } }) },
];

/** A page of a part of the app.
 * @param {Record<string, () => Promise<import("./kit/later.js").Component>>} pages @param {string} page @param {{ id?: string }} props */
function pageOf(pages, page, props) {
  const load = Object.hasOwn(pages, page) ? pages[page] : undefined;
  return load ? part(Later, { key: `${props.id ?? ""} ${page}`, load, props }) : missing();
}

/** @type {Record<string, () => Promise<import("./kit/later.js").Component>>} */
const officePages = {
  figures: () => import("./screens/office/figures.js").then((m) => m.Figures),
  history: () => import("./screens/office/history.js").then((m) => m.History),
  staff: () => import("./screens/office/staff.js").then((m) => m.Staff),
  tablets: () => import("./screens/office/tablets.js").then((m) => m.Tablets),
  gauges: () => import("./screens/office/gauges.js").then((m) => m.Gauges),
  maps: () => import("./screens/office/maps.js").then((m) => m.Maps),
  rule: () => import("./screens/office/rule.js").then((m) => m.Rule),
  keys: () => import("./screens/office/keys.js").then((m) => m.Keys),
};

/** What stands where nobody is signed in: a tablet asks who is there. */
function nobody() {
  const load = (/** @type {"SignOn" | "Enrol"} */ name) => part(Later, { key: name, load: () => import("./screens/sign-on.js").then((m) => m[name]) });
  if (place.value === "/enrol") return load("Enrol");
  return people.value ? load("SignOn") : part(SignIn, {});
}

/** @type {Record<string, () => Promise<import("./kit/later.js").Component>>} */
const counterPages = {
  now: () => import("./screens/counter.js").then((m) => m.Counter),
  said: () => import("./screens/counter/said.js").then((m) => m.Said),
  ways: () => import("./screens/counter/ways.js").then((m) => m.Ways),
  ask: () => import("./screens/counter/ask.js").then((m) => m.Ask),
  agreed: () => import("./screens/counter/agreed.js").then((m) => m.Agreed),
  parts: () => import("./screens/counter/parts.js").then((m) => m.Parts),
  leaving: () => import("./screens/counter/leaving.js").then((m) => m.Leaving),
  papers: () => import("./screens/counter/papers.js").then((m) => m.Papers),
};

/** Reports whether who is signed in holds one of these roles. @param {string[]} roles */
const holds = (...roles) => (person.value?.roles ?? []).some((r) => roles.includes(r));

/** The way to a part of the app. @param {string} path @param {string} word */
const way = (path, word) => el.a({ key: path, href: at(path), "aria-current": place.value === path || place.value.startsWith(`${path}/`) ? "page" : undefined }, word);

const missing = () => el.main({ class: "narrow" }, el.h1(w.trouble.missingPage), el.p(el.a({ href: at("/floor") }, w.floor.title)));

function Screen() {
  for (const { pattern, screen } of screens) {
    const found = place.value.match(pattern);
    if (found) return screen(found.slice(1));
  }
  return missing();
}

function App() {
  const trouble = useSignal(/** @type {unknown} */ (null));
  const begin = () => { trouble.value = null; resume().then(() => (person.value ? undefined : lookAround())).catch((caught) => { trouble.value = caught; }); };
  if (person.value === undefined && !trouble.value) { begin(); return el.p({ class: "waiting", role: "status" }, "…"); }
  if (trouble.value) return el.main({ class: "narrow" }, part(Trouble, { trouble: trouble.value, again: begin }));
  if (!person.value) return nobody();
  return el.div({ onClick: follow }, part(Mast, {}), part(Screen, {}), part(Afresh, {}));
}

/** Where one can go, what this tablet still holds, and who is signed in. */
function Mast() {
  const me = /** @type {NonNullable<typeof person.value>} */ (person.value);
  const unsent = waiting.value && waiting.value.filter((row) => !row.aside).length;
  const asking = useSignal(false);
  const leave = () => { asking.value = false; forgetForms(); (me.tablet_id ? signOff() : signOut()).catch(() => {}); };
  const mine = waiting.value && waiting.value.filter((row) => !row.aside && of(row, me)).length;
  return el.header({ class: "mast" },
    el.nav(way("/floor", w.floor.title), holds("advisor", "owner") ? way("/intake", w.counter.intakeWay) : null, holds("advisor", "owner") ? way("/messages", w.messages.title) : null, holds("owner") ? way("/office", w.office.title) : null, way("/unsent", w.outbox.count(unsent))),
    asking.value
      ? el.div({ class: "who asks", role: "alertdialog", "aria-label": w.ok.signOut }, el.p(el.b(w.outbox.signOutAsk(mine)), " ", w.outbox.signOutStays),
        el.button({ type: "button", class: "quiet", onClick: leave }, w.outbox.signOutAnyway), el.button({ type: "button", onClick: () => { asking.value = false; sendNow(); } }, w.outbox.stay))
      : el.p({ class: "who" }, `${me.name} · ${me.shop_name} `, el.button({ type: "button", class: "quiet", onClick: () => { if (mine === 0) leave(); else asking.value = true; } }, me.tablet_id ? w.signOn.change : w.ok.signOut)));
}

document.documentElement.lang = w.language;
render(part(App, {}), /** @type {Element} */ (document.getElementById("app")));
keepSending();
keepShell();
