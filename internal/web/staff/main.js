// The staff app: signs on who is there, then shows the screen that the
// address names.
import { el, part, render, useSignal } from "./kit/view.js";
import { Trouble } from "./kit/parts.js";
import { person, resume, signOut } from "./lib/api.js";
import { at, follow, place } from "./lib/place.js";
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
];

function Screen() {
  for (const { pattern, screen } of screens) {
    const found = place.value.match(pattern);
    if (found) return screen(found.slice(1));
  }
  return el.main({ class: "narrow" }, el.h1(w.trouble.missingPage), el.p(el.a({ href: at("/floor") }, w.floor.title)));
}

function App() {
  const trouble = useSignal(/** @type {unknown} */ (null));
  const begin = () => { trouble.value = null; resume().catch((caught) => { trouble.value = caught; }); };
  if (person.value === undefined && !trouble.value) { begin(); return el.p({ class: "waiting", role: "status" }, "…"); }
  if (trouble.value) return el.main({ class: "narrow" }, part(Trouble, { trouble: trouble.value, again: begin }));
  if (!person.value) return part(SignIn, {});
  return el.div({ onClick: follow },
    el.header({ class: "mast" },
      el.nav(el.a({ href: at("/floor"), "aria-current": place.value === "/floor" ? "page" : undefined }, w.floor.title)),
      el.p({ class: "who" }, `${person.value.name} · ${person.value.shop_name} `, el.button({ type: "button", class: "quiet", onClick: () => { signOut().catch(() => {}); } }, w.ok.signOut))),
    part(Screen, {}));
}

document.documentElement.lang = w.language;
render(part(App, {}), /** @type {Element} */ (document.getElementById("app")));
