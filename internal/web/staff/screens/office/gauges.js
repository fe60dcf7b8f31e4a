// Gauges: what each can resolve, and until when its readings count.
import { el, part, several } from "../../kit/view.js";
import { formOf, FormOf, row, TextField, TickField } from "../../kit/form.js";
import { readAll, send } from "../../lib/api.js";
import { atOffice } from "./shell.js";
import { day, later, today, w } from "../../words/words.js";

/** @typedef {import("../../lib/api.js").Schemas} Schemas */

export const Gauges = atOffice("gauges", async () => ({ gauges: await readAll("/v1/gauges") }), ({ gauges }, again) => {
  const inUse = gauges.filter((g) => !g.retired).toSorted((a, b) => (a.calibration_due_on ?? "").localeCompare(b.calibration_due_on ?? ""));
  return several(
    el.section(el.h2(w.office.gauges, el.span({ class: "count" }, String(inUse.length))), el.p({ class: "hint" }, w.office.gaugesHint),
      el.ul({ class: "sheet" }, inUse.map((g) => part(One, { key: g.id, gauge: g, again }))),
      el.details(el.summary(w.office.addGauge), part(GaugeForm, { again }))),
    gauges.some((g) => g.retired) ? el.section(el.details(el.summary(w.office.retired), el.ul({ class: "sheet" }, gauges.filter((g) => g.retired).map((g) => part(One, { key: g.id, gauge: g, again }))))) : null);
});

/** When its calibration ends, in words. @param {Schemas["Gauge"]} g */
function due(g) {
  const now = today(new Date());
  if (!g.calibration_due_on) return w.office.neverCalibrated;
  if (g.calibration_due_on <= now) return `${w.office.overdue} ${day(g.calibration_due_on)}`;
  return `${g.calibration_due_on <= later(now, 30) ? w.office.dueSoon : w.office.due} ${day(g.calibration_due_on)}`;
}

/** @param {{ key: string, gauge: Schemas["Gauge"], again: () => void }} props */
function One({ gauge: g, again }) {
  return el.li(el.details(el.summary(el.span({ class: "grow" }, g.name, el.span({ class: "hint" }, [g.kind, g.serial].filter(Boolean).map((t) => ` · ${t}`).join(""))), el.b(due(g))), part(GaugeForm, { gauge: g, again })));
}

/** @param {Schemas["Quantity"] | null | undefined} q */
const typed = (q) => q?.entered || (q ? `${q.value} ${q.unit}` : "");
/** @param {string} text */
const quantity = (text) => (text.trim() ? { entered: text.trim() } : null);

/** @param {{ gauge?: Schemas["Gauge"], again: () => void }} props */
function GaugeForm({ gauge: g, again }) {
  const form = formOf(g ? `gauge ${g.id} ${g.version}` : "gauge new", () => ({ name: g?.name ?? "", kind: g?.kind ?? "", serial: g?.serial ?? "", resolution: typed(g?.resolution), uncertainty: typed(g?.uncertainty), calibrated_on: g?.calibrated_on ?? "",
    calibration_due_on: g?.calibration_due_on ?? "", certificate: g?.certificate ?? "", retired: g?.retired ?? false }));
  const submit = async () => {
    const done = await form.send((t, key) => {
      const body = { ...t, resolution: quantity(t.resolution), uncertainty: quantity(t.uncertainty), calibrated_on: t.calibrated_on || null, calibration_due_on: t.calibration_due_on || null };
      return g ? send("put", "/v1/gauges/{id}", { path: { id: g.id } }, body, { match: `"${g.version}"` }) : send("post", "/v1/gauges", {}, body, { key });
    });
    if (done) again();
  };
  return part(FormOf, { form, act: g ? w.ok.save : w.office.addGauge, quiet: Boolean(g), submit, children: [
    row(part(TextField, { form, name: "name", label: w.office.gaugeName, needed: true }), part(TextField, { form, name: "kind", label: w.office.gaugeKind, hint: w.office.gaugeKindHint, needed: true }), part(TextField, { form, name: "serial", label: w.office.serial })),
    row(part(TextField, { form, name: "resolution", label: w.office.resolution, hint: w.office.resolutionHint }), part(TextField, { form, name: "uncertainty", label: w.office.uncertainty, hint: w.office.uncertaintyHint })),
    row(part(TextField, { form, name: "calibrated_on", label: w.office.calibrated, type: "date" }), part(TextField, { form, name: "calibration_due_on", label: w.office.calibrationDue, type: "date" }), part(TextField, { form, name: "certificate", label: w.office.certificate })),
    g ? part(TickField, { key: "r", form, name: "retired", label: w.office.retire }) : null] });
}
