// Readings: one measured point of one finding, typed on large keys, with what
// they come to drawn on a line against the limits, at once and without the
// network. What is saved goes to the server, whose verdict counts.
import { el, part, several, useEffect, useSignal } from "../kit/view.js";
import { Keypad } from "../kit/keypad.js";
import { LimitLine } from "../kit/limit-line.js";
import { Mark } from "../kit/grade.js";
import { NoData, Read, Trouble } from "../kit/parts.js";
import { person } from "../lib/api.js";
import { jobOf } from "../lib/bench.js";
import { ask, engine } from "../lib/engine.js";
import { newId } from "../lib/ids.js";
import { loading } from "../lib/loading.js";
import { membersOf, nameOf } from "../lib/names.js";
import { questionOf, stateOf, unitsOf } from "../lib/pad.js";
import { at, go } from "../lib/place.js";
import { keepAndSend } from "../lib/sending.js";
import { laidOver } from "./findings.js";
import { day, w } from "../words/words.js";

/** @typedef {import("../lib/bench.js").Gathered} Gathered */
/** @typedef {import("../lib/api.js").Schemas} Schemas */
/** @typedef {import("../lib/engine.js").Lines} Lines */

/** @param {{ key: string, id: string, finding: string }} props */
export function Readings({ id, finding }) {
  const held = useSignal(loading());
  const { shown, load } = /** @type {ReturnType<typeof loading<import("../lib/bench.js").JobRead>>} */ (held.value);
  useEffect(() => { load(() => jobOf(id)); }, [id]);
  return el.main(part(Read, { loaded: shown.value, again: () => load(() => jobOf(id)), show: (/** @type {import("../lib/bench.js").JobRead} */ { all }) => {
    const found = laidOver(all.findings, "finding", id).find(({ value }) => value.id === finding)?.value;
    return found ? part(Pad, { all, finding: found }) : several(el.h1(w.pad.title), part(NoData, {}), el.p(w.pad.noFinding));
  } }));
}

/** @param {{ all: Gathered, finding: Schemas["Finding"] }} props */
function Pad({ all, finding }) {
  const members = membersOf(all.map, finding);
  const points = (all.map?.points ?? []).filter((p) => members.includes(p.component ?? ""));
  const point = useSignal(points.length === 1 ? points[0]?.key ?? "" : "");
  const chosen = points.find((p) => p.key === point.value);
  return several(
    el.header({ class: "job-head" }, el.p({ class: "number" }, el.a({ href: at(`/jobs/${all.job.id}`) }, String(all.order.number))),
      el.div(el.h1(`${w.pad.title}: ${nameOf(all.map, finding.component)}`), el.p({ class: "hint" }, all.job.title))),
    el.p({ class: "caution" }, w.pad.caution),
    points.length === 0 ? el.p({ class: "lead" }, w.pad.noPoints) : null,
    points.length > 1 ? el.fieldset({ class: "tiles" }, el.legend(w.pad.point), points.map((p) => el.label({ key: p.key, class: "tile" },
      el.input({ type: "radio", name: "point", checked: point.value === p.key, onChange: () => { point.value = p.key ?? ""; } }), el.span(p.name)))) : null,
    chosen ? part(Entry, { key: chosen.key ?? "", all, finding, point: chosen }) : null);
}

/** @param {{ key: string, all: Gathered, finding: Schemas["Finding"], point: import("../lib/pad.js").Point }} props */
function Entry({ all, finding, point }) {
  const units = unitsOf(point);
  const [typed, unit, gauge, of] = [useSignal(""), useSignal(units[0]?.code ?? ""), useSignal(""), useSignal("")];
  const readings = useSignal(/** @type {import("../lib/pad.js").Reading[]} */ ([]));
  const works = useSignal(/** @type {import("../lib/engine.js").Exports | null} */ (null));
  const trouble = useSignal(/** @type {unknown} */ (null));
  useEffect(() => { engine().then((found) => { works.value = found; }); }, []);
  const roles = works.value ? ask(works.value, [["takes", point.derive ?? ""]])["roles"]?.[0]?.filter(Boolean) ?? [] : [];
  const role = roles.length > 1 ? of.value : ""; // not said: the engine knows which is usual
  const says = units.find((u) => u.code === unit.value)?.says ?? "";
  const tool = all.gauges.find((g) => g.id === gauge.value) ?? null;
  const entered = `${typed.value.trim()} ${says}`;
  const ready = typed.value.trim() ? withValue(readings.value, role, entered) : readings.value;
  const found = works.value && ready.length > 0
    ? ask(works.value, questionOf({ point, part: all.map?.components?.find((c) => c.key === point.component), sheet: all.sheet, gauge: tool, demo: all.demo, readings: ready })) : null;
  const take = () => { if (!typed.value.trim()) return; readings.value = withValue(readings.value, role, entered); typed.value = ""; };
  const save = async () => {
    trouble.value = null;
    try {
      await keepAndSend(madeOf({ all, finding, point, gauge: tool, readings: ready, found }));
      go(`/jobs/${all.job.id}`);
    } catch {
      trouble.value = { message: w.outbox.notHere };
    }
  };
  return el.div({ class: "pad" },
    el.div({ class: "pad-form" },
      el.p(el.b(point.name), point.gauge ? ` · ${point.gauge}` : ""), point.how ? el.p({ class: "hint" }, point.how) : null,
      part(Limits, { all, point }),
      el.fieldset({ class: "tiles" }, el.legend(w.pad.gauge), [...all.gauges.filter((g) => !g.retired && g.resolution), null].map((g) => el.label({ key: g?.id ?? "none", class: "tile" },
        el.input({ type: "radio", name: "gauge", checked: gauge.value === (g?.id ?? ""), onChange: () => { gauge.value = g?.id ?? ""; } }),
        el.span(g?.name ?? w.pad.noGauge, g && stateOf(g) === "out_of_calibration" ? el.small(` – ${w.pad.due(day(g.calibration_due_on ?? ""))}`) : null)))),
      roles.length > 1 ? el.fieldset({ class: "tiles" }, el.legend(w.pad.of), roles.map((r) => el.label({ key: r, class: "tile" },
        el.input({ type: "checkbox", name: "role", checked: role === r, onChange: () => { of.value = role === r ? "" : r; } }), el.span(r.replaceAll("_", " "))))) : null,
      part(Taken, { readings: readings.value, drop: () => { readings.value = withoutLast(readings.value); } }),
      trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
      found ? part(Verdict, { found, point, sheet: all.sheet }) : ready.length > 0 ? el.p({ class: "hint" }, w.pad.later) : null),
    part(Keypad, {
      value: typed.value, label: w.pad.values, unit: says, echo: works.value && typed.value.trim() ? echoOf(works.value, entered, unit.value) : "",
      type: (/** @type {string} */ value) => { typed.value = value; }, take,
      turn: () => { unit.value = units[(units.findIndex((u) => u.code === unit.value) + 1) % units.length]?.code ?? unit.value; },
      save, ready: ready.length > 0 && !found?.["refused"],
    }));
}

/** The same in the other system, or what is wrong with what was typed.
 * @param {import("../lib/engine.js").Exports} works @param {string} entered @param {string} unit */
function echoOf(works, entered, unit) {
  /** @type {Record<string, string>} */
  const other = { "mm": "[in_i]", "[in_i]": "mm", "kPa": "[psi]", "[psi]": "kPa", "bar": "kPa", "N.m": "[ft_i].[lbf_av]", "[ft_i].[lbf_av]": "N.m" };
  const lines = ask(works, [["echo", entered, other[unit] ?? unit]]);
  if (lines["refused"]) return lines["refused"][0]?.[1] ?? "";
  const [typed = "", same = ""] = lines["echo"]?.[0] ?? [];
  const [figure = "", ...rest] = same.split(" ");
  return typed === same ? typed : `${typed} = ${Number(Number(figure).toPrecision(5))} ${rest.join(" ")}`;
}

/** @param {import("../lib/pad.js").Reading[]} readings @param {string} of @param {string} value */
function withValue(readings, of, value) {
  return readings.some((r) => r.of === of) ? readings.map((r) => (r.of === of ? { of, values: [...r.values, value] } : r)) : [...readings, { of, values: [value] }];
}

/** @param {import("../lib/pad.js").Reading[]} readings */
function withoutLast(readings) {
  const last = readings.at(-1);
  if (!last) return readings;
  return last.values.length > 1 ? [...readings.slice(0, -1), { ...last, values: last.values.slice(0, -1) }] : readings.slice(0, -1);
}

/** @param {{ readings: import("../lib/pad.js").Reading[], drop: () => void }} props */
function Taken({ readings, drop }) {
  if (readings.length === 0) return null;
  return el.div({ class: "taken" },
    el.ul({ class: "plain" }, readings.map((r) => el.li({ key: r.of }, r.of ? `${r.of.replaceAll("_", " ")}: ` : "", r.values.join(" · ")))),
    el.button({ type: "button", class: "quiet big", onClick: drop }, w.pad.drop));
}

/** The limits in words, with where they come from. @param {{ all: Gathered, point: import("../lib/pad.js").Point }} props */
function Limits({ all, point }) {
  const limit = all.sheet?.limits?.find((l) => l.point === point.key);
  if (!limit) return el.p({ class: "no-data" }, w.pad.noLimits);
  const source = all.sheet?.sources?.find((s) => s.key === limit.source);
  const range = (/** @type {Schemas["SheetRange"] | undefined} */ r) => r && [r.min && `≥ ${r.min.value} ${r.min.unit}`, r.max && `≤ ${r.max.value} ${r.max.unit}`].filter(Boolean).join(", ");
  return el.p({ class: "limits" }, [limit.new && `${w.pad.new} ${range(limit.new)}`, limit.service && `${w.pad.service} ${range(limit.service)}`].filter(Boolean).join(" · "),
    el.span({ class: "hint" }, ` ${w.pad.source}: ${[source?.title, source?.page].filter(Boolean).join(", ")}${all.sheet?.notice ? `. ${all.sheet.notice}` : ""}`));
}

/** @param {{ found: Lines, point: import("../lib/pad.js").Point, sheet: Schemas["LimitSheet"] | null }} props */
function Verdict({ found, point, sheet }) {
  if (found["refused"]) return el.p({ class: "wrong", role: "status" }, found["refused"][0]?.[1] ?? "");
  const [value, unit] = found["value"]?.[0] ?? [];
  const doubt = found["uncertainty"]?.[0]?.[0];
  const verdict = /** @type {"within" | "beyond" | "undecided" | "no_limit"} */ (found["verdict"]?.[0]?.[0] ?? "no_limit");
  const grade = found["grade"]?.[0]?.[0];
  const resolution = found["settle"]?.find((s) => s[0] === "resolution");
  const words = `${value} ${unit}${doubt ? ` ± ${doubt} ${unit}` : ""}`;
  return el.div({ class: "verdict", role: "status" },
    el.p({ class: "value" }, words),
    part(LimitLine, { found, limit: sheet?.limits?.find((l) => l.point === point.key), says: w.pad.line(words) }),
    el.p(el.b(w.pad[verdict]), " ", grade ? part(Mark, { grade: Number(grade) }) : null),
    found["counts"]?.[0]?.[0] === "beyond" && verdict === "undecided" ? el.p(w.pad.countsBeyond) : null,
    resolution ? el.p(w.pad.settle(`${resolution[1]} ${resolution[2]}`)) : null,
    found["because"] ? el.p(`${w.pad.indicative} ${found["because"].map((b) => b[0]).join("; ")}.`) : null,
    el.p({ class: "hint" }, w.pad.here),
    el.details(el.summary(w.pad.working), el.ul({ class: "plain" }, [...(found["reason"] ?? []), ...(found["warning"] ?? []), ...(found["working"] ?? [])].map((line, i) => el.li({ key: i }, line[0])))));
}

/** @param {{ all: Gathered, finding: Schemas["Finding"], point: import("../lib/pad.js").Point, gauge: Schemas["Gauge"] | null, readings: import("../lib/pad.js").Reading[], found: Lines | null }} what
 * @returns {Parameters<typeof keepAndSend>[0]} */
function madeOf({ all, finding, point, gauge, readings, found }) {
  const me = /** @type {Schemas["Me"]} */ (person.value);
  const body = {
    finding_id: finding.id, point: point.key, gauge_id: gauge?.id ?? null, captured_at: new Date().toISOString(),
    readings: readings.map((r) => ({ of: r.of, values: r.values.map((entered) => ({ entered })) })),
  };
  const said = found && { verdict: found["verdict"]?.[0]?.[0] ?? "", grade: found["grade"]?.[0]?.[0] ?? "", value: (found["value"]?.[0] ?? []).join(" "), doubt: found["uncertainty"]?.[0]?.[0] ?? "" };
  return { made: [{ id: newId(), kind: "measurement", job: all.job.id, shop: me.shop_id, by: me.staff_id, byName: me.name, about: point.name ?? "", after: finding.id, body, said }] };
}
