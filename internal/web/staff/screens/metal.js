// Where the metal went: the rooms and oil ways of the engine, what lay where,
// what else it can have come to, and why; then the line of causes. It reads the
// same in black and white.
import { Mark } from "../kit/grade.js";
import { Read } from "../kit/parts.js";
import { el, part, several, useEffect, useSignal } from "../kit/view.js";
import { read, readAll } from "../lib/api.js";
import { loading } from "../lib/loading.js";
import { boxWide, headHigh, layOut, lineHigh, states } from "../lib/metal-map.js";
import { at } from "../lib/place.js";
import { standing } from "../lib/standing.js";
import { w } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */
/** @typedef {import("../lib/metal-map.js").Box} Box */
/** @typedef {import("../lib/metal-map.js").Row} Row */
/** @typedef {import("../lib/metal-map.js").Standing} Standing */
/** @typedef {import("../lib/metal-map.js").MachineMap & { example: boolean }} MapOf */
/** @typedef {Awaited<ReturnType<typeof gather>>} Gathered */

/** @param {string} id */
async function gather(id) {
  const path = { id };
  const job = (await read("/v1/jobs/{id}", { path })).value;
  const findings = await readAll("/v1/jobs/{job_id}/findings", { path: { job_id: id } });
  if (!job.layout_id) return { job, findings: standing(findings), map: null, spread: null };
  const [map, spread] = await Promise.all([
    read("/v1/machine-maps/{id}", { path: { id: job.layout_id } }),
    read("/v1/jobs/{id}/spread", { path }),
  ]);
  return { job, findings: standing(findings), map: /** @type {MapOf} */ (/** @type {unknown} */ (map.value.document)), spread: { components: /** @type {Standing[]} */ (spread.value.value.components ?? []), warnings: /** @type {string[]} */ (spread.value.value.warnings ?? []) } };
}

/** @param {{ id: string }} props */
export function Metal({ id }) {
  const held = useSignal(loading());
  const { shown, load } = /** @type {ReturnType<typeof loading<Gathered>>} */ (held.value);
  useEffect(() => { load(() => gather(id)); }, [id]);
  return el.main({ class: "metal" }, part(Read, { loaded: shown.value, again: () => load(() => gather(id), { keep: true }),
    show: (/** @type {Gathered} */ all) => several(
      el.header(el.p({ class: "hint" }, el.a({ href: at(`/jobs/${all.job.id}`) }, all.job.title)), el.h1(w.metal.title)),
      all.map && all.spread ? part(Map_, { map: all.map, spread: all.spread }) : el.p({ class: "lead" }, w.metal.noMap),
      part(Causes, { findings: all.findings })) }));
}

/** How many columns of the drawing fit the window. */
const columnsNow = () => Math.max(1, Math.min(5, Math.floor((Math.min(innerWidth, 1500) - 40) / (boxWide + 20))));

/** @param {{ map: MapOf, spread: NonNullable<Gathered["spread"]> }} props */
function Map_({ map, spread }) {
  const columns = useSignal(columnsNow());
  const chosen = useSignal("");
  useEffect(() => {
    const fit = () => { columns.value = columnsNow(); };
    addEventListener("resize", fit);
    return () => removeEventListener("resize", fit);
  }, []);
  const drawing = layOut(map, spread.components, columns.value);
  const box = drawing.boxes.find((b) => b.key === chosen.value);
  const far = spread.components.filter((c) => c.state === "out_of_reach");
  return several(
    map.example ? el.p({ class: "hint" }, w.metal.example) : null,
    spread.warnings.map((words, i) => el.p({ key: i, class: "warned" }, words)),
    el.ul({ class: "marks-read" }, states.filter((s) => s !== "out_of_reach").map((s) => el.li({ key: s }, part(Sign, { state: s }),
      el.span(w.metal.state[s]), el.b({ class: "count" }, String(spread.components.filter((c) => c.state === s).length))))),
    drawing.boxes.length === 0 ? el.p({ class: "lead" }, w.metal.nothing) : several(
      el.p({ class: "hint" }, w.metal.touch),
      part(Drawn, { drawing, chosen: chosen.value, choose: (key) => { chosen.value = key; } })),
    box ? part(Why, { box, leave: () => { chosen.value = ""; } }) : null,
    el.section({ class: "metal-list" }, el.h2(w.metal.inWords), states.slice(0, 5).map((s) => part(Stretch, { key: s, state: s, components: spread.components }))),
    el.p({ class: "hint" }, w.metal.far(far.length)));
}

/** @param {{ drawing: import("../lib/metal-map.js").Drawing, chosen: string, choose: (key: string) => void }} props */
function Drawn({ drawing, chosen, choose }) {
  return el.svg({ class: "metal-map", viewBox: `0 0 ${drawing.wide} ${drawing.high}`, style: { maxWidth: `${drawing.wide}px` }, role: "group", "aria-label": w.metal.title },
    el.defs(el.marker({ id: "tip", viewBox: "0 0 10 10", refX: 9, refY: 5, markerWidth: 7, markerHeight: 7, orient: "auto" }, el.path({ d: "M0 0L10 5L0 10z" }))),
    drawing.boxes.every((b) => b.x === drawing.boxes[0]?.x) ? null : drawing.ways.map((way) => el.path({ key: way.key, d: way.path, class: way.used ? "flow used" : "flow", "marker-end": way.used ? "url(#tip)" : undefined })),
    drawing.boxes.map((box) => part(Room, { key: box.key, box, chosen: box.key === chosen, choose })));
}

/** @param {{ key: string, box: Box, chosen: boolean, choose: (key: string) => void }} props */
function Room({ box, chosen, choose }) {
  let line = 0;
  return el.g({ transform: `translate(${box.x} ${box.y})`, class: `room ${box.kind}${chosen ? " chosen" : ""}`, role: "button", tabindex: 0, "aria-expanded": chosen,
    onClick: () => choose(box.key),
    onKeyDown: (event) => { if (event.key === "Enter" || event.key === " ") { event.preventDefault(); choose(box.key); } } },
    el.rect({ width: boxWide, height: box.high, rx: box.kind === "room" ? 14 : 3 }),
    el.text({ x: 12, y: 27, class: "room-name" }, titleOf(box)),
    box.from.map((words, i) => el.text({ key: i, x: 12, y: headHigh + 12 + lineHigh * line++, class: "room-before" }, i === 0 ? `${w.metal.from} ${words}` : words)),
    box.rows.map((row) => {
      const top = headHigh + lineHigh * line;
      line += row.lines.length;
      return el.g({ key: row.component },
        el.g({ transform: `translate(12 ${top + 1})`, role: "img", "aria-label": row.source ? w.metal.source : w.metal.state[row.state] }, part(Shape, { state: row.source ? "source" : row.state })),
        row.lines.map((words, i) => el.text({ key: i, x: 38, y: top + 14 + lineHigh * i }, words)));
    }));
}

/** @param {Box} box */
const titleOf = (box) => box.kind === "fed" ? w.metal.fed : box.kind === "line" && box.rows.length > 1 ? w.metal.way : box.name;

/** The sign of how a part stands, told apart by its shape.
 * @param {{ state: Row["state"] | "source" }} props */
function Shape({ state }) {
  switch (state) {
    case "source": return el.path({ class: "full", d: "M8 0L10 5.5L16 6L11.4 9.8L13 16L8 12.4L3 16L4.6 9.8L0 6L6 5.5z" });
    case "confirmed": return el.rect({ class: "full", x: 1, y: 1, width: 14, height: 14 });
    case "exposed_coarse": return el.path({ class: "full", d: "M8 1L15.5 15H.5z" });
    case "exposed_fines": return el.path({ class: "thin", d: "M8 2L14.5 14.5H1.5z" });
    case "held_back": return el.path({ class: "thin", d: "M2 2H14V14H2zM8 0V16" });
    case "cleared": return el.path({ class: "thin", d: "M8 1.5A6.5 6.5 0 1 1 7.9 1.5zM5 8L7.4 10.4L11.4 5.6" });
    default: return el.path({ class: "thin", d: "M3 8H13" });
  }
}

/** @param {{ state: Row["state"] | "source" }} props */
const Sign = ({ state }) => el.svg({ class: "sign", width: 22, height: 22, viewBox: "-1 -1 18 18", "aria-hidden": "true" }, part(Shape, { state }));

/** Why the parts of one place stand as they do. @param {{ box: Box, leave: () => void }} props */
function Why({ box, leave }) {
  const title = useSignal(/** @type {HTMLElement | null} */ (null));
  useEffect(() => { title.value?.focus(); title.value?.scrollIntoView({ block: "nearest" }); }, [box.key]);
  return el.section({ class: "metal-why with-act" },
    el.header(el.h2({ tabIndex: -1, ref: (/** @type {HTMLElement | null} */ found) => { title.value = found; } }, titleOf(box)), el.button({ type: "button", class: "quiet", onClick: leave }, w.metal.close)),
    el.ul({ class: "findings" }, box.rows.map((row) => part(Reason, { key: row.component, row }))));
}

/** @param {{ key: string, row: Standing & { source?: boolean } }} props */
function Reason({ row }) {
  return el.li(
    el.div({ class: "finding-head" }, el.b(row.name), el.span({ class: "standing" }, part(Sign, { state: row.source ? "source" : row.state }), row.source ? w.metal.source : w.metal.state[row.state])),
    row.sentence ? el.p(row.sentence) : null,
    row.reasons.map((words, i) => el.p({ key: i }, words)),
    row.materials.length > 0 ? el.p({ class: "hint" }, `${w.metal.materials} ${row.materials.map((m) => w.metal.material[/** @type {keyof typeof w.metal.material} */ (m)] ?? m).join(", ")}`) : null,
    row.cleared_by ? el.p(el.b(w.metal.clearedBy), ` ${row.cleared_by}`) : null);
}

/** All parts that stand one way, in words. @param {{ key: string, state: Row["state"], components: Standing[] }} props */
function Stretch({ state, components }) {
  const these = components.filter((c) => c.state === state);
  if (these.length === 0) return null;
  return el.details(el.summary(part(Sign, { state }), w.metal.state[state], el.span({ class: "hint" }, w.metal.parts(these.length))),
    el.ul({ class: "findings" }, these.map((row) => part(Reason, { key: row.component, row: { ...row, source: state === "confirmed" && row.path.length <= 1 } }))));
}

/** The line of causes: where it began, and what each thing did next.
 * @param {{ findings: Schemas["Finding"][] }} props */
function Causes({ findings }) {
  const ids = new Set(findings.map((f) => f.id));
  const after = (/** @type {string | null} */ id) => findings.filter((f) => f.caused_by_id === id && id !== null);
  const first = findings.filter((f) => f.first_cause || (after(f.id).length > 0 && !(f.caused_by_id && ids.has(f.caused_by_id))));
  return el.section({ class: "causes" }, el.h2(w.metal.causes),
    first.length === 0 ? el.p({ class: "hint" }, w.metal.noCause) : el.ol(first.map((f) => part(Cause, { key: f.id, finding: f, after, seen: [] }))));
}

/** @param {{ key: string, finding: Schemas["Finding"], after: (id: string) => Schemas["Finding"][], seen: string[] }} props */
function Cause({ finding: f, after, seen }) {
  const next = seen.includes(f.id) ? [] : after(f.id);
  return el.li(el.div({ class: "finding-head" }, el.b(f.name || f.component), part(Mark, { grade: f.effective_grade })),
    f.first_cause ? el.p({ class: "hint" }, w.job.firstCause) : null,
    f.damage_mode ? el.p(w.damage[f.damage_mode]) : f.reached_by_debris ? el.p({ class: "hint" }, w.metal.reached) : null,
    next.length > 0 ? several(el.p({ class: "led-to" }, w.metal.ledTo), el.ol(next.map((n) => part(Cause, { key: n.id, finding: n, after, seen: [...seen, f.id] })))) : null);
}
