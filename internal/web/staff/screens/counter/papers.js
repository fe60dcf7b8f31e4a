// Papers of a job, to print.
import { el, part, useSignal } from "../../kit/view.js";
import { Trouble } from "../../kit/parts.js";
import { keepFile } from "../../lib/files.js";
import { atCounter, gatherHead } from "./shell.js";
import { w } from "../../words/words.js";

/** @typedef {import("./shell.js").Head} Head */

export const Papers = atCounter("papers", gatherHead, (head) => part(Shown, { head }));

/** @param {{ head: Head }} props */
function Shown({ head: { job, order } }) {
  const busy = useSignal("");
  const trouble = useSignal(/** @type {unknown} */ (null));
  /** @param {"bench_sheet" | "labels" | "machine_label" | "findings"} paper */
  async function get(paper) {
    [busy.value, trouble.value] = [paper, null];
    const [path, of] = /** @type {const} */ ({ machine_label: ["/v1/work-orders/{id}/machine-label.pdf", order.id], bench_sheet: ["/v1/jobs/{id}/bench-sheet.pdf", job.id],
      labels: ["/v1/jobs/{id}/labels.pdf", job.id], findings: ["/v1/jobs/{id}/findings.pdf", job.id] })[paper];
    try {
      await keepFile(path, { path: { id: of } }, { name: `${order.number}-${paper.replace("_", "-")}.pdf`, accept: "application/pdf" });
    } catch (caught) {
      trouble.value = caught;
    }
    busy.value = "";
  }
  return el.section(el.h2(w.counter.pages.papers),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    el.ul({ class: "rows" }, /** @type {const} */ (["machine_label", "bench_sheet", "findings", "labels"]).map((paper) => el.li({ key: paper },
      el.span(el.b(w.counter.papers[paper]), el.br({}), el.span({ class: "hint" }, w.counter.papersHint[paper])),
      el.button({ type: "button", class: "second", disabled: busy.value !== "", onClick: () => get(paper) }, w.counter.getPdf)))));
}
