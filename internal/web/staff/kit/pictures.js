// Figures as pictures: bars, a share with how sure it is, a curve. The words and
// numbers stand beside them, so that the picture is never needed.
import { el } from "./view.js";

/** A bar of a share of the whole. @param {{ share: number }} props */
export function Bar({ share }) {
  return el.svg({ class: "bar", viewBox: "0 0 200 16", preserveAspectRatio: "none", "aria-hidden": "true" },
    el.rect({ class: "ground", x: 0, y: 0, width: 200, height: 16 }), el.rect({ class: "full", x: 0, y: 0, width: Math.max(share > 0 ? 1 : 0, Math.min(1, share) * 200), height: 16 }));
}

/** A share between 0 and 1 with its interval: a dot on a line.
 * @param {{ share: number, low: number, high: number }} props */
export function Share({ share, low, high }) {
  const x = (/** @type {number} */ v) => 6 + Math.max(0, Math.min(1, v)) * 188;
  return el.svg({ class: "share", viewBox: "0 0 200 20", "aria-hidden": "true" },
    el.line({ class: "thin", x1: 6, x2: 194, y1: 10, y2: 10 }),
    el.line({ class: "thin", x1: 6, x2: 6, y1: 5, y2: 15 }), el.line({ class: "thin", x1: 194, x2: 194, y1: 5, y2: 15 }),
    el.line({ class: "thick", x1: x(low), x2: x(high), y1: 10, y2: 10 }),
    el.circle({ class: "full", cx: x(share), cy: 10, r: 5.5 }));
}

/** @typedef {{ x: number, y: number, low: number, high: number }} Point */

/** A curve with its band. `step` keeps a value until the next point.
 * @param {{ points: Point[], xs: [number, number], ys: [number, number], marks?: { x: number, y: number }[], line?: number, step?: boolean, label: string, xWords: [string, string], yWords: [string, string] }} props */
export function Curve({ points, xs, ys, marks = [], line, step, label, xWords, yWords }) {
  const [left, right, top, bottom] = [64, 628, 14, 206];
  const x = (/** @type {number} */ v) => left + (v - xs[0]) / (xs[1] - xs[0] || 1) * (right - left);
  const y = (/** @type {number} */ v) => bottom - (v - ys[0]) / (ys[1] - ys[0] || 1) * (bottom - top);
  const path = (/** @type {"y" | "low" | "high"} */ of, /** @type {Point[]} */ way, back = false) =>
    way.map((p, i) => (step && i > 0 ? (back ? `V${y(p[of])}H${x(p.x)}` : `H${x(p.x)}V${y(p[of])}`) : `${i === 0 && !back ? "M" : "L"}${x(p.x)},${y(p[of])}`)).join("");
  const band = points.length > 1 ? `${path("low", points)}L${x(points.at(-1)?.x ?? 0)},${y(points.at(-1)?.high ?? 0)}${path("high", points.toReversed(), true)}Z` : "";
  return el.svg({ class: "curve", viewBox: "0 0 640 244", role: "img", "aria-label": label },
    band ? el.path({ class: "band", d: band }) : null,
    el.path({ class: "axis", d: `M${left},${top}V${bottom}H${right}` }),
    line === undefined ? null : el.line({ class: "limit", x1: left, x2: right, y1: y(line), y2: y(line) }),
    points.length > 1 ? el.path({ class: "way", d: path("y", points) }) : null,
    marks.map((m, i) => el.circle({ key: i, class: "full", cx: x(m.x), cy: y(m.y), r: 5 })),
    el.text({ x: left, y: 232 }, xWords[0]), el.text({ x: right, y: 232, class: "end" }, xWords[1]),
    el.text({ x: left - 8, y: bottom, class: "end" }, yWords[0]), el.text({ x: left - 8, y: top + 12, class: "end" }, yWords[1]));
}
