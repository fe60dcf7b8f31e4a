// Puts readings, the point of the machine's map, its limits and the gauge into
// the question that the engine takes, as the server does when they arrive.
import { today } from "../words/words.js";

/** @typedef {import("./api.js").Schemas} Schemas */
/** @typedef {Schemas["MapPoint"]} Point */
/** @typedef {{ of: string, values: string[] }} Reading */

/** Units to type in, by the unit of the value; the first stands there first.
 * @param {Point} point @returns {{ code: string, says: string }[]} */
export function unitsOf(point) {
  const mm = [{ code: "mm", says: "mm" }, { code: "[in_i]", says: "in" }];
  /** @type {Record<string, { code: string, says: string }[]>} */
  const known = {
    mm, kPa: [{ code: "kPa", says: "kPa" }, { code: "[psi]", says: "psi" }, { code: "bar", says: "bar" }], V: [{ code: "V", says: "V" }],
    Ohm: [{ code: "Ohm", says: "Ohm" }], MOhm: [{ code: "MOhm", says: "MOhm" }], "N.m": [{ code: "N.m", says: "Nm" }, { code: "[ft_i].[lbf_av]", says: "ft-lb" }],
  };
  if (point.unit === "%") return point.derive === "chain_elongation" ? mm : [{ code: "%", says: "%" }, ...mm, { code: "Ohm", says: "Ohm" }];
  return known[point.unit ?? ""] ?? [{ code: point.unit ?? "", says: point.unit ?? "" }];
}

/** Says how a gauge stands today. @param {Schemas["Gauge"] | null} gauge */
export function stateOf(gauge) {
  if (!gauge?.calibration_due_on) return "no_gauge";
  return today(new Date()) >= gauge.calibration_due_on ? "out_of_calibration" : "in_calibration";
}

/** @param {{ point: Point, part: Schemas["MapComponent"] | undefined, sheet: Schemas["LimitSheet"] | null, gauge: Schemas["Gauge"] | null, demo: boolean, readings: Reading[] }} all
 * @returns {string[][]} */
export function questionOf({ point, part, sheet, gauge, demo, readings }) {
  const lines = [["formula", point.derive ?? ""], ["unit", point.unit ?? ""], ...Object.entries(point.with ?? {}).map(([name, value]) => ["with", name, value])];
  if (gauge) lines.push(["gauge", "g", gauge.name, gauge.resolution?.value ?? "", gauge.resolution?.unit ?? "", gauge.uncertainty?.value ?? "", gauge.uncertainty?.unit ?? ""]);
  for (const r of readings) lines.push(["reading", r.of, gauge ? "g" : "", ...r.values]);
  lines.push(["state", stateOf(gauge)], ["safety", part?.safety ?? "ordinary"]);
  const limit = sheet?.limits?.find((l) => l.point === point.key);
  for (const which of /** @type {const} */ (["new", "service"])) {
    for (const end of /** @type {const} */ (["min", "max"])) {
      const bound = limit?.[which]?.[end];
      if (bound) lines.push(["limit", which, end, bound.value ?? "", bound.unit ?? ""]);
    }
  }
  const source = sheet?.sources?.find((s) => s.key === limit?.source);
  if (source?.kind) lines.push(["source", source.kind]);
  if (limit?.rule) lines.push(["rule", limit.rule]);
  if (limit?.near_percent) lines.push(["near", String(limit.near_percent)]);
  if (demo) lines.push(["demo"]);
  if (point.indicative) lines.push(["indicative"]);
  return lines;
}
