// Nothing is deleted: a record is struck, and the reason stays beside it.
import { el, part } from "./view.js";
import { formOf, FormOf, TextField } from "./form.js";
import { send } from "../lib/api.js";
import { w } from "../words/words.js";

/** @param {{ path: "/v1/jobs/{job_id}/lines/{id}/strike" | "/v1/jobs/{job_id}/scopes/{id}/strike" | "/v1/jobs/{job_id}/part-orders/{id}/strike" | "/v1/jobs/{job_id}/advice/{id}/strike", job: string, id: string, again: () => void }} props */
export function StrikeIt({ path, job, id, again }) {
  const form = formOf(`strike ${id}`, () => ({ reason: "" }));
  const submit = async () => {
    const done = await form.send((typed, key) => send("post", path, { path: { job_id: job, id } }, { reason: typed.reason }, { key }));
    if (done) again();
  };
  return el.details(el.summary(w.ok.strike), part(FormOf, { form, act: w.ok.strike, quiet: true, submit,
    children: part(TextField, { form, name: "reason", label: w.ok.because, needed: true }) }));
}
