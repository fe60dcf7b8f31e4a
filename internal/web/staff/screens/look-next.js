// Look next: which look would tell most of where debris went, why, by which way
// it can have come there, and what comes off first, each caution before its step.
import { el, part, several, useEffect, useSignal } from "../kit/view.js";
import { Trouble } from "../kit/parts.js";
import { readAll, send } from "../lib/api.js";
import { nameOf } from "../lib/names.js";
import { w } from "../words/words.js";

/** @typedef {import("../lib/bench.js").Gathered} Gathered */
/** @typedef {import("../lib/api.js").Schemas} Schemas */

/** @param {{ all: Gathered, record: (component: string) => void, again: () => void }} props */
export function LookNext({ all, record, again }) {
  const { job, map, spread } = all;
  if (job.stage === "closed" || job.stage === "withdrawn") return null;
  const looks = spread?.next ?? [];
  return el.section({ class: "look-next" }, el.h2(w.next.title),
    job.layout_id ? null : part(ChooseMap, { job, again }),
    spread?.warnings.map((line, i) => el.p({ key: i, class: "caution" }, line)),
    job.layout_id && looks.length === 0 ? el.p({ class: "hint" }, w.next.none) : null,
    el.ol({ class: "looks" }, looks.slice(0, 2).map((look) => part(Look, { key: look.look, look, all, record }))),
    looks.length > 2 ? el.details(el.summary(w.next.more(looks.length - 2)), el.ol({ class: "looks" }, looks.slice(2).map((look) => part(Look, { key: look.look, look, all, record })))) : null,
    map ? part(ComingOff, { all }) : null);
}

/** @param {{ key: string, look: Schemas["SpreadNext"], all: Gathered, record: (component: string) => void }} props */
function Look({ look, all, record }) {
  const { map, spread } = all;
  const seen = look.sees.map((key) => spread?.components.find((c) => c.component === key)).filter((c) => c !== undefined);
  return el.li(
    el.h3(look.name, el.span({ class: "hint" }, w.next.takes(w.time.minutes(look.minutes)))),
    seen.length === 0 ? null : el.p({ class: "why" }, el.b(w.next.why), " ", seen[0]?.sentence ?? "", seen.length > 1 ? ` (${seen.map((c) => c.name).join(", ")})` : ""),
    look.steps.length > 0 ? el.div(el.p(el.b(w.next.first)), part(Steps, { map, keys: look.steps, done: [] })) : null,
    look.caution ? el.p({ class: "caution" }, `${w.next.caution} ${look.caution}`) : null,
    look.how ? el.p(look.how) : null,
    look.lowers.length > 0 ? el.p({ class: "hint" }, `${w.next.lowers} ${look.lowers.map((l) => nameOf(map, l.component)).join(", ")}`) : null,
    el.p({ class: "hint" }, w.next.sees),
    el.div({ class: "tiles" }, look.sees.map((key) => el.button({ key, type: "button", class: "tile", onClick: () => record(key) }, nameOf(map, key)))));
}

/** Steps in the map's order, each caution before the step it is of.
 * @param {{ map: Schemas["MachineMap"] | null, keys: string[], done: string[] }} props */
function Steps({ map, keys, done }) {
  return el.ol({ class: "steps" }, keys.map((key) => {
    const step = map?.steps?.find((s) => s.key === key);
    const off = done.includes(key);
    return el.li({ key, class: off ? "off" : "" },
      step?.caution && !off ? el.p({ class: "caution" }, `${w.next.caution} ${step.caution}`) : null,
      el.span(step?.name ?? key, off ? ` – ${w.next.offDone}` : step?.minutes ? ` (${w.time.minutes(step.minutes)})` : ""));
  }));
}

/** How the machine comes apart: what is off, then what the next looks ask for.
 * @param {{ all: Gathered }} props */
function ComingOff({ all }) {
  const { job, map, spread } = all;
  const asked = [...new Set((spread?.next ?? []).flatMap((n) => n.steps))];
  const keys = [...job.steps_done, ...asked.filter((key) => !job.steps_done.includes(key))];
  if (keys.length === 0) return null;
  return el.details({ class: "coming-off" }, el.summary(w.next.off), el.p({ class: "hint" }, w.next.manual), part(Steps, { map, keys, done: job.steps_done }));
}

/** @param {{ job: Schemas["Job"], again: () => void }} props */
function ChooseMap({ job, again }) {
  const maps = useSignal(/** @type {Schemas["KeptMap"][]} */ ([]));
  const trouble = useSignal(/** @type {unknown} */ (null));
  const open = useSignal(false);
  useEffect(() => { if (open.value) readAll("/v1/machine-maps").then((found) => { maps.value = found; }, (caught) => { trouble.value = caught; }); }, [open.value]);
  /** @param {Schemas["KeptMap"]} map */
  const take = async (map) => {
    trouble.value = null;
    try {
      await send("post", "/v1/jobs/{id}/use-map", { path: { id: job.id } }, { layout_id: map.id, limit_sheet_id: null });
      again();
    } catch (caught) {
      trouble.value = caught;
    }
  };
  return several(el.details({ onToggle: (event) => { open.value = event.currentTarget.open; } }, el.summary(w.next.noMap),
    el.div({ class: "tiles" }, maps.value.map((m) => el.button({ key: m.id, type: "button", class: "tile", onClick: () => { take(m); } }, m.title)))),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null);
}
