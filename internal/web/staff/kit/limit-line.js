// A value with its doubt on a line: what a new part has, what is allowed in
// service, and the strip beside each limit where nobody can tell. Numbers are
// only for drawing here; what they mean was decided by whole numbers before.
import { el } from "./view.js";

/** @typedef {import("../lib/api.js").Schemas["SheetLimit"]} Limit */

const [wide, high, edge] = [600, 120, 20];

/** @param {{ found: import("../lib/engine.js").Lines, limit: Limit | undefined, says: string }} props */
export function LimitLine({ found, limit, says }) {
  const value = Number(found["value"]?.[0]?.[0]);
  const doubt = Number(found["uncertainty"]?.[0]?.[0] ?? 0);
  const ends = [limit?.new?.min, limit?.new?.max, limit?.service?.min, limit?.service?.max].flatMap((a) => (a && a.unit === found["value"]?.[0]?.[1] ? [Number(a.value)] : []));
  if (!Number.isFinite(value) || ends.length === 0) return null;
  const all = [...ends, value - doubt, value + doubt];
  const [least, most] = [Math.min(...all), Math.max(...all)];
  const room = (most - least || Math.abs(most) || 1) * 0.15;
  const x = (/** @type {number} */ n) => edge + ((n - least + room) / (most - least + 2 * room)) * (wide - 2 * edge);
  const zone = (/** @type {string} */ name) => guard(found, name).map(([a, b]) => el.rect({ key: `${name}${a}`, class: "zone", x: x(a), y: 34, width: Math.max(2, x(b) - x(a)), height: 32 }));
  return el.svg({ class: "limit-line", viewBox: `0 0 ${wide} ${high}`, role: "img", "aria-label": says },
    el.defs(el.pattern({ id: "nobody", width: 8, height: 8, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, el.rect({ class: "stripe", width: 3, height: 8 }))),
    band("service", limit?.service, x), band("new", limit?.new, x), zone("service"), zone("new"),
    el.line({ class: "axis", x1: edge, x2: wide - edge, y1: 66, y2: 66 }),
    ticks(limit, x),
    el.line({ class: "doubt", x1: x(value - doubt), x2: x(value + doubt), y1: 20, y2: 20 }),
    doubt > 0 ? [value - doubt, value + doubt].map((n) => el.line({ key: n, class: "doubt", x1: x(n), x2: x(n), y1: 12, y2: 28 })) : null,
    el.path({ class: "here", d: `M${x(value)} 66 l-9 -34 h18 z` }));
}

/** The stretches between what is proven and what is possible, where nobody can tell.
 * @param {import("../lib/engine.js").Lines} found @param {string} which @returns {[number, number][]} */
function guard(found, which) {
  const of = (/** @type {string} */ name, /** @type {string} */ end) => found[name]?.find((f) => f[0] === which && f[1] === end)?.[2];
  return ["min", "max"].flatMap((end) => {
    const [a, b] = [of("proven", end), of("possible", end)];
    return a === undefined || b === undefined ? [] : [/** @type {[number, number]} */ ([Math.min(Number(a), Number(b)), Math.max(Number(a), Number(b))])];
  });
}

/** @param {string} name @param {{ min?: { value?: string }, max?: { value?: string } } | undefined} range @param {(n: number) => number} x */
function band(name, range, x) {
  if (!range?.min && !range?.max) return null;
  const [from, to] = [range.min ? x(Number(range.min.value)) : edge, range.max ? x(Number(range.max.value)) : wide - edge];
  return el.rect({ class: `band ${name}`, x: from, y: name === "new" ? 42 : 34, width: Math.max(2, to - from), height: name === "new" ? 24 : 32 });
}

/** @param {Limit | undefined} limit @param {(n: number) => number} x */
function ticks(limit, x) {
  const marks = [limit?.service?.min, limit?.service?.max, limit?.new?.min, limit?.new?.max].filter((a) => a !== undefined);
  return marks.map((a, i) => el.g({ key: i },
    el.line({ class: "axis", x1: x(Number(a?.value)), x2: x(Number(a?.value)), y1: 60, y2: 74 }),
    el.text({ x: x(Number(a?.value)), y: i % 2 ? 94 : 112, "text-anchor": "middle" }, a?.value)));
}
