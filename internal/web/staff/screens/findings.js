// What was found on a job: what the server has, with what this tablet made since
// laid over it, and where each thing is.
import { el, part, useSignal } from "../kit/view.js";
import { Mark } from "../kit/grade.js";
import { Picture } from "../kit/picture.js";
import { readPicture } from "../lib/api.js";
import { pictureOf, waiting } from "../lib/outbox.js";
import { landed } from "../lib/sending.js";
import { at } from "../lib/place.js";
import { membersOf, nameOf } from "../lib/names.js";
import { NewFinding } from "./new-finding.js";
import { lately, w } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */
/** @typedef {import("../lib/outbox.js").Row} Row */
/** @typedef {Schemas["Finding"]} Found */

/** Lays what reached the server and what waits here over what was read last.
 * @template {{ id: string }} T
 * @param {T[]} read @param {import("../lib/outbox.js").Kind} kind @param {string} job @returns {{ value: T, row: Row | null }[]} */
export function laidOver(read, kind, job) {
  /** @type {Map<string, { value: T, row: Row | null }>} */
  const all = new Map(read.map((value) => [value.id, { value, row: null }]));
  for (const l of landed.value) {
    const had = all.get(l.value.id)?.value;
    const older = had && /** @type {any} */ (had).version > l.value.version;
    if (l.job === job && l.kind === kind && !older && !l.value.struck_at) all.set(l.value.id, { value: l.value, row: null });
  }
  for (const row of waiting.value ?? []) {
    if (row.job === job && row.kind === kind && !row.aside) all.set(row.id, { value: /** @type {T} */ ({ ...all.get(row.id)?.value, ...row.body, id: row.id }), row });
  }
  return [...all.values()];
}

/** What is being written: a new finding (of a part, where that is known), or a change of one.
 * @typedef {{ part: string } | Found | null} Open */

/** @param {{ all: import("../lib/bench.js").Gathered, open: import("../kit/view.js").Live<Open> }} props */
export function Findings({ all, open }) {
  const { job } = all;
  const said = useSignal("");
  const findings = laidOver(all.findings, "finding", job.id);
  const done = () => { open.value = null; said.value = w.outbox.saved; };
  const shut = () => { open.value = null; };
  return el.section({ class: "with-act" },
    el.header(el.h2(w.job.found, el.span({ class: "count" }, String(findings.length))),
      open.value ? null : el.button({ type: "button", class: "big", onClick: () => { said.value = ""; open.value = { part: "" }; } }, w.job.newFinding)),
    el.p({ class: "said", role: "status" }, said.value),
    open.value ? part(NewFinding, "id" in open.value ? { key: open.value.id, all, was: open.value, done, leave: shut } : { key: `new ${open.value.part}`, all, was: null, component: open.value.part, done, leave: shut }) : null,
    el.ul({ class: "findings" }, findings.map(({ value, row }) =>
      part(Finding, { key: value.id, finding: value, row, all, change: open.value ? null : () => { said.value = ""; open.value = value; } }))));
}

/** The worse of the grades, if there is one. @param {Partial<Found>} f */
const worst = (f) => [f.looked_at_grade, f.measured_grade].filter((g) => g !== null && g !== undefined).toSorted((a, b) => Number(b) - Number(a))[0] ?? null;

/** @param {{ key: string, finding: Found, row: Row | null, all: import("../lib/bench.js").Gathered, change: (() => void) | null }} props */
function Finding({ finding: f, row, all, change }) {
  const said = [f.damage_mode && w.damage[f.damage_mode], f.pieces === "missing" && w.job.piecesMissing, f.advised && `${w.job.advised} ${w.advice[f.advised]}`].filter(Boolean);
  return el.li({ class: row ? "here" : "" },
    el.div({ class: "finding-head" }, el.b(row ? nameOf(all.map, f.component) : f.name || f.component), part(Mark, { grade: worst(f) })),
    said.length > 0 ? el.p(said.join(" · ")) : null,
    f.first_cause ? el.p({ class: "hint" }, w.job.firstCause) : null,
    f.safe_to_ride === "no" ? el.p({ class: "danger" }, w.job.notSafe) : null,
    f.not_looked_because ? el.p({ class: "hint" }, `${w.job.notLooked} ${f.not_looked_because}`) : null,
    f.note ? el.p({ class: "note" }, f.note) : null,
    part(Measured, { all, finding: f.id }),
    part(Pictures, { all, finding: f.id }),
    row ? part(Where, { row }) : null,
    el.div({ class: "acts" }, measurable(all, f) ? el.a({ class: "button-like", href: at(`/jobs/${all.job.id}/readings/${f.id}`), "aria-label": `${w.pad.measure}: ${f.name || f.component}` }, w.pad.measure) : null,
    change && !row?.theirs ? el.button({ type: "button", class: "quiet big", onClick: change, "aria-label": `${w.capture.change}: ${f.name || f.component}` }, w.capture.change) : null));
}

/** Reports whether the machine's map names something to measure here.
 * @param {import("../lib/bench.js").Gathered} all @param {Found} f */
const measurable = (all, f) => (all.map?.points ?? []).some((p) => membersOf(all.map, f).includes(p.component ?? ""));

/** What was measured: the server's word, or the tablet's until it is there; where
 * they differ, both.
 * @param {{ all: import("../lib/bench.js").Gathered, finding: string }} props */
function Measured({ all, finding }) {
  const rows = laidOver(all.measurements, "measurement", all.job.id).filter(({ value }) => value.finding_id === finding);
  const word = (/** @type {string} */ verdict) => w.pad[/** @type {"within"} */ (verdict || "none")] ?? verdict;
  return el.ul({ class: "measured" }, rows.map(({ value: m, row }) => {
    const name = all.map?.points?.find((p) => p.key === m.point)?.name ?? m.derive;
    const came = landed.value.find((l) => l.kind === "measurement" && l.value.id === m.id);
    const figure = row ? `${row.said?.value ?? ""}${row.said?.doubt ? ` ± ${row.said.doubt}` : ""}` : `${m.result?.value ?? w.trouble.noData} ${m.result?.unit ?? ""}${m.uncertainty ? ` ± ${m.uncertainty.value}` : ""}`;
    const differs = came?.said && (came.said.verdict !== came.value.verdict || came.said.grade !== String(came.value.grade ?? ""));
    return el.li({ key: m.id }, `${name}: `, el.b(figure), ` – ${word(row ? row.said?.verdict ?? "" : m.verdict)}`,
      row ? el.span({ class: "hint" }, ` (${row.said ? w.pad.here : w.pad.later})`) : null,
      row ? part(Where, { row }) : null,
      differs && came.said ? el.p({ class: "wrong" }, w.pad.differs(`${came.said.value}, ${word(came.said.verdict)} ${came.said.grade}`, `${figure}, ${word(came.value.verdict)} ${came.value.grade ?? ""}`)) : null);
  }));
}

/** Where a thing made here stands, beside the thing itself.
 * @param {{ row: Row }} props */
export function Where({ row }) {
  if (row.theirs) return el.p({ class: "where" }, el.b(w.outbox.theirs), " ", el.a({ class: "button-like", href: at(`/changed/${row.id}`) }, w.outbox.choose));
  if (row.refused) return el.p({ class: "where" }, el.b(w.outbox.refused), ` ${row.refused.title} `, el.a({ class: "button-like", href: at("/unsent") }, w.outbox.title));
  return el.p({ class: "where" }, w.outbox.here(lately(row.savedAt)));
}

/** @param {{ all: import("../lib/bench.js").Gathered, finding: string }} props */
function Pictures({ all, finding }) {
  const photos = laidOver(all.photos, "photo", all.job.id).filter(({ value }) => value.finding_id === finding);
  if (photos.length === 0) return null;
  const held = new Set((waiting.value ?? []).filter((r) => r.kind === "picture").map((r) => r.after));
  const sent = new Set(landed.value.filter((l) => l.kind === "picture").map((l) => l.value.id));
  return el.ul({ class: "pictures" }, photos.map(({ value }, i) => el.li({ key: value.id }, part(Picture, {
    of: `${value.id}${held.has(value.id) ? " here" : ""}`, says: value.shows || w.capture.photoOf(i + 1),
    load: () => (held.has(value.id) ? bytesHere(value.id) : value.stored_at || sent.has(value.id) ? readPicture("/v1/jobs/{job_id}/photos/{id}/thumbnail", { path: { job_id: all.job.id, id: value.id } }) : Promise.resolve(null)),
  }), held.has(value.id) ? el.span({ class: "hint" }, w.outbox.title) : null)));
}

/** @param {string} id */
async function bytesHere(id) {
  const picture = await pictureOf(id);
  return picture ? new Blob([picture.bytes], { type: picture.type }) : null;
}
