// Figures of the shop over a year, as pictures: where time goes, whose move it
// waits on, what customers answer, what comes back.
import { el, part, several } from "../../kit/view.js";
import { Bar, Curve, Share } from "../../kit/pictures.js";
import { NoData } from "../../kit/parts.js";
import { read } from "../../lib/api.js";
import { atOffice } from "./shell.js";
import { dated, lasting, percent, w } from "../../words/words.js";

/** @typedef {{ hits: number, trials: number, share: string | null, wilson: { low: string, high: string } | null }} Rate */
/** @typedef {{ since: string, until: string, jobs: number,
 *   times: { stages: { stage: string, jobs: number, total_seconds: string, median_seconds: string, share: string }[], waits: { on: string, total_seconds: string, share: string }[] },
 *   hours: { technicians: { by: string, sold_minutes: string, worked_minutes: number, efficiency_percent: string | null }[], total: { sold_minutes: string, worked_minutes: number }, sold_unworked_minutes: string },
 *   approvals: { asked: number, accepted: number, declined: number, lapsed: number, open: number, rate: Rate, median_seconds: string | null },
 *   comebacks: { rate: Rate, curve: { watched: number, events: number, steps: { time: string, survival: string, low: string, high: string, at_risk: number }[] },
 *     causes: { layout: string, jobs: number, named: number, causes: { cause: string, share: Rate }[] }[] } }} Value */

export const Figures = atOffice("figures", async () => (await read("/v1/figures")).value, (answer) => {
  const value = /** @type {Value} */ (/** @type {unknown} */ (answer.value));
  return several(
    el.p({ class: "hint" }, w.office.over(value.jobs, dated(value.since))),
    answer.warnings.map((text, i) => el.p({ key: i, class: "caution" }, text)),
    part(Times, { value }), part(Answers, { value }), part(Comebacks, { value }), part(Hours, { value }),
    el.details(el.summary(w.counter.working), el.ul({ class: "plain" }, answer.working.map((line, i) => el.li({ key: i }, line)))));
});

/** @typedef {{ value: Value }} Props */

/** @param {Props} props */
function Times({ value: { times } }) {
  const stage = (/** @type {string} */ key) => w.stage[/** @type {keyof typeof w.stage} */ (key)] ?? key;
  const mover = (/** @type {string} */ key) => w.move[/** @type {keyof typeof w.move} */ (key)] ?? key;
  return several(
    el.section(el.h2(w.office.byStage), times.stages.length === 0 ? part(NoData, {}) : el.table({ class: "figures" },
      el.thead(el.tr(el.th({ scope: "col" }, w.office.stage), el.th({ scope: "col" }, w.office.shareOfTime), el.th({ scope: "col" }, w.office.middle), el.th({ scope: "col" }, w.office.jobs))),
      el.tbody(times.stages.map((s) => el.tr({ key: s.stage }, el.th({ scope: "row" }, stage(s.stage)), el.td(part(Bar, { share: Number(s.share) }), ` ${percent(s.share)}`), el.td(lasting(s.median_seconds)), el.td(String(s.jobs))))))),
    el.section(el.h2(w.office.byMove), times.waits.length === 0 ? part(NoData, {}) : el.table({ class: "figures" },
      el.thead(el.tr(el.th({ scope: "col" }, w.office.waitedOn), el.th({ scope: "col" }, w.office.shareOfTime), el.th({ scope: "col" }, w.office.inAll))),
      el.tbody(times.waits.map((s) => el.tr({ key: s.on }, el.th({ scope: "row" }, mover(s.on)), el.td(part(Bar, { share: Number(s.share) }), ` ${percent(s.share)}`), el.td(lasting(s.total_seconds))))))));
}

/** A share with how sure it is. @param {Rate} rate */
function sure(rate) {
  if (rate.share === null || !rate.wilson) return part(NoData, {});
  return el.span({ class: "sure" }, part(Share, { share: Number(rate.share), low: Number(rate.wilson.low), high: Number(rate.wilson.high) }),
    ` ${w.office.ofSo(rate.hits, rate.trials)} – ${percent(rate.share)} (${percent(rate.wilson.low)} – ${percent(rate.wilson.high)})`);
}

/** @param {Props} props */
function Answers({ value: { approvals: a } }) {
  return el.section(el.h2(w.office.answers),
    el.p(sure(a.rate)),
    el.p(w.office.answered(a.asked, a.accepted, a.declined, a.lapsed, a.open)),
    el.p(`${w.office.timeToAnswer} ${a.median_seconds === null ? w.trouble.noData : lasting(a.median_seconds)}`));
}

/** @param {Props} props */
function Comebacks({ value: { comebacks: c } }) {
  const steps = c.curve.steps.map((s) => ({ x: Number(s.time), y: Number(s.survival), low: Number(s.low), high: Number(s.high) }));
  const far = Math.max(30, ...steps.map((s) => s.x * 1.2));
  const last = steps.at(-1);
  const points = [{ x: 0, y: 1, low: 1, high: 1 }, ...steps, ...(last ? [{ ...last, x: far }] : [])];
  return el.section(el.h2(w.office.comebacks), el.p(sure(c.rate)),
    steps.length > 0 ? el.figure(part(Curve, { points, xs: [0, far], ys: [0, 1], step: true, label: w.office.curve(c.curve.watched, c.curve.events), xWords: [w.office.handedOver, w.time.days(Math.round(far))], yWords: ["0 %", "100 %"] }),
      el.figcaption({ class: "hint" }, w.office.curveWords)) : null,
    c.causes.map((l) => el.details({ key: l.layout }, el.summary(l.layout || w.office.withoutMap, el.span({ class: "hint" }, w.office.named(l.named, l.jobs))),
      el.table({ class: "figures" }, el.tbody(l.causes.map((x) => el.tr({ key: x.cause }, el.th({ scope: "row" }, x.cause), el.td(sure(x.share)))))))));
}

/** @param {Props} props */
function Hours({ value: { hours } }) {
  const most = Math.max(1, ...hours.technicians.flatMap((t) => [Number(t.sold_minutes), t.worked_minutes]));
  const hoursOf = (/** @type {string | number} */ minutes) => lasting(String(Number(minutes) * 60));
  return el.section(el.h2(w.office.hours),
    el.p(w.office.soldWorked(hoursOf(hours.total.sold_minutes), hoursOf(hours.total.worked_minutes))),
    hours.technicians.length === 0 ? el.p({ class: "hint" }, w.office.noTimes) : el.table({ class: "figures" },
      el.thead(el.tr(el.th({ scope: "col" }, w.office.person), el.th({ scope: "col" }, w.office.sold), el.th({ scope: "col" }, w.office.worked))),
      el.tbody(hours.technicians.map((t) => el.tr({ key: t.by }, el.th({ scope: "row" }, t.by), el.td(part(Bar, { share: Number(t.sold_minutes) / most }), ` ${hoursOf(t.sold_minutes)}`), el.td(part(Bar, { share: t.worked_minutes / most }), ` ${hoursOf(t.worked_minutes)}`))))));
}
