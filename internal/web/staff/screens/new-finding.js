// A finding with one hand: which part, how it stands, how it failed, photos,
// what to do with it. Everything is kept at each touch, so that a tab that dies
// takes nothing along; saved means saved on this tablet.
import { el, part, several, useEffect, useSignal } from "../kit/view.js";
import { GradeChoice } from "../kit/grade.js";
import { Trouble } from "../kit/parts.js";
import { Picture } from "../kit/picture.js";
import { person } from "../lib/api.js";
import { newId } from "../lib/ids.js";
import { draftOf, keepDraft, pictureOf, waiting } from "../lib/outbox.js";
import { keepAndSend } from "../lib/sending.js";
import { NoPicture, shrink } from "../lib/shrink.js";
import { nameOf, orderOf } from "../lib/names.js";
import { PartChoice } from "./part-choice.js";
import { w } from "../words/words.js";

/** @typedef {import("../lib/api.js").Schemas} Schemas */
/** @typedef {Schemas["FindingIn"]} Body */
/** @typedef {{ id: string, body: Body, photos: string[], picking: boolean }} Draft */

/** @type {Body} */
const nothing = {
  component: "", members: [], looked_at_grade: null, damage_mode: "", pieces: "none", in_pieces: false, laid_out: false, first_cause: false,
  safe_to_ride: "not_known", advised: "", watch_at: "", reached_by_debris: false, not_looked_because: "", evidence_because: "", note: "",
  danger_outcome: "", danger_warning: "", danger_witness: "",
};

/** What can be said of a finding, out of what is known of it. @param {Schemas["Finding"]} was @returns {Body} */
function bodyOf(was) {
  const names = /** @type {(keyof Body)[]} */ ([...Object.keys(nothing), "complaint_id", "caused_by_id", "debris", "captured_at"]);
  return /** @type {Body} */ (Object.fromEntries(names.filter((name) => was[name] !== undefined).map((name) => [name, was[name]])));
}

/** @param {Schemas["Finding"] | null} was @param {string} component @returns {Draft} */
const fresh = (was, component) => ({ id: was?.id ?? newId(), body: was ? bodyOf(was) : { ...nothing, component }, photos: [], picking: !was && !component });

/** @param {{ key: string, all: import("../lib/bench.js").Gathered, was: Schemas["Finding"] | null, component?: string, done: () => void, leave: () => void }} props */
export function NewFinding({ all, was, component = "", done, leave }) {
  const { job, map } = all;
  const mine = /** @type {NonNullable<typeof person.value>} */ (person.value);
  const place = `finding ${mine.staff_id} ${job.id} ${was?.id ?? "new"} ${component}`;
  const draft = useSignal(fresh(was, component));
  const [began, busy, trouble, undo] = [useSignal(false), useSignal(""), useSignal(/** @type {unknown} */ (null)), useSignal(/** @type {Draft | null} */ (null))];
  useEffect(() => {
    draftOf(place).then((found) => { if (found) { draft.value = /** @type {Draft} */ (found); began.value = true; } }, () => {});
  }, [place]);
  /** @param {Partial<Draft>} change @param {import("../lib/outbox.js").Picture[]} [pictures] */
  const set = async (change, pictures) => {
    draft.value = { ...draft.value, ...change };
    undo.value = null;
    try {
      await keepDraft(place, draft.value, pictures);
    } catch {
      trouble.value = { message: w.outbox.notHere };
    }
  };
  /** @param {Partial<Body>} change */
  const say = (change) => { set({ body: { ...draft.value.body, ...change } }); };
  const restart = () => { undo.value = draft.value; draft.value = fresh(was, component); began.value = false; keepDraft(place, draft.value).catch(() => {}); };
  /** @param {SubmitEvent} event */
  async function submit(event) {
    event.preventDefault();
    if (!draft.value.body.component) { trouble.value = { message: w.capture.whichFirst }; return; }
    [busy.value, trouble.value] = [w.ok.save, null];
    try {
      await keepAndSend(madeOf({ draft: draft.value, job, map, was, mine, place }));
      done();
    } catch {
      trouble.value = { message: w.outbox.notHere };
    } finally {
      busy.value = "";
    }
  }
  const d = draft.value;
  return el.form({ class: "new-finding", id: "new-finding", onSubmit: submit },
    el.h3(was ? w.capture.change : w.capture.title),
    trouble.value ? part(Trouble, { trouble: trouble.value }) : null,
    began.value ? el.p({ class: "hint began" }, w.capture.began, " ", el.button({ type: "button", class: "quiet", onClick: restart }, w.capture.clear)) : null,
    undo.value ? el.p({ class: "began" }, el.button({ type: "button", class: "quiet", onClick: () => { if (undo.value) set(undo.value); } }, w.capture.undo)) : null,
    part(PartChoice, { map, order: orderOf(all), value: d.body.component, picking: d.picking, pick: (value, picking) => { set({ picking, body: { ...draft.value.body, component: value } }); } }),
    part(GradeChoice, { name: "grade", chosen: /** @type {any} */ (d.body.looked_at_grade ?? null), choose: (grade) => say({ looked_at_grade: grade }) }),
    part(Tiles, { name: "damage", label: w.finding.damage, value: d.body.damage_mode ?? "", words: w.damage, pick: (value) => say({ damage_mode: /** @type {Body["damage_mode"]} */ (value) }) }),
    part(Photos, { photos: d.photos, busy: busy.value, take: async (files) => {
      for (const file of files) await takePhoto(file, { busy, trouble, add: (picture) => set({ photos: [...draft.value.photos, picture.id] }, [picture]) });
    }, remove: (id) => { set({ photos: draft.value.photos.filter((p) => p !== id) }); } }),
    part(Tiles, { name: "advised", label: w.finding.advised, value: d.body.advised ?? "", words: w.advice, pick: (value) => say({ advised: /** @type {Body["advised"]} */ (value) }) }),
    part(More, { body: d.body, say }),
    el.div({ class: "acts save-bar" },
      el.button({ type: "submit", class: "big", disabled: busy.value !== "" }, w.ok.save),
      el.button({ type: "button", class: "quiet big", onClick: leave }, w.capture.leave)));
}

/** What is stored of a draft: the finding, its photos, their pictures, in one.
 * @param {{ draft: Draft, job: Schemas["Job"], map: Schemas["MachineMap"] | null, was: Schemas["Finding"] | null, mine: Schemas["Me"], place: string }} all
 * @returns {Parameters<typeof keepAndSend>[0]} */
function madeOf({ draft, job, map, was, mine, place }) {
  const about = nameOf(map, draft.body.component);
  const common = { job: job.id, shop: mine.shop_id, by: mine.staff_id, byName: mine.name, about };
  const now = new Date().toISOString();
  const waits = waiting.value?.find((r) => r.id === draft.id);
  /** @type {import("../lib/outbox.js").Made[]} */
  const made = [{ ...common, id: draft.id, kind: "finding", etag: was?.version && !waits ? `"${was.version}"` : "", body: { ...draft.body, captured_at: draft.body.captured_at ?? now } }];
  for (const id of draft.photos) {
    made.push({ ...common, id, kind: "photo", after: draft.id, body: { finding_id: draft.id, shows: about, captured_at: now } });
    made.push({ ...common, id: `${id}/picture`, kind: "picture", after: id, body: null });
  }
  return { made, draft: place };
}

/** Makes one photo smaller and keeps it at once.
 * @param {File} file
 * @param {{ busy: { value: string }, trouble: { value: unknown }, add: (picture: import("../lib/outbox.js").Picture) => Promise<void> }} to */
async function takePhoto(file, { busy, trouble, add }) {
  [busy.value, trouble.value] = [w.capture.reading, null];
  try {
    const { bytes, type } = await shrink(file);
    await add({ id: newId(), bytes, type });
  } catch (caught) {
    trouble.value = { message: caught instanceof NoPicture && caught.heic ? w.capture.heic : w.capture.noPicture };
  } finally {
    busy.value = "";
  }
}

/** @param {{ photos: string[], busy: string, take: (files: File[]) => void, remove: (id: string) => void }} props */
function Photos({ photos, busy, take, remove }) {
  return el.fieldset({ class: "photos" }, el.legend(w.capture.photos),
    photos.length > 0 ? el.ul({ class: "pictures" }, photos.map((id, i) => el.li({ key: id },
      part(Picture, { of: id, says: w.capture.photoOf(i + 1), load: async () => { const p = await pictureOf(id); return p ? new Blob([p.bytes], { type: p.type }) : null; } }),
      el.button({ type: "button", class: "quiet", onClick: () => remove(id) }, w.capture.remove)))) : null,
    el.label({ class: "take", for: "photo" }, busy || w.capture.take,
      el.input({ id: "photo", type: "file", accept: "image/*", capture: "environment", multiple: true, disabled: busy !== "", onChange: (event) => {
        const input = event.currentTarget;
        take([...(input.files ?? [])]);
        input.value = "";
      } })));
}

/** Words to choose one of, each big enough for a glove; a second touch takes it back.
 * @param {{ name: string, label: string, value: string, words: Record<string, string>, pick: (value: string) => void }} props */
function Tiles({ name, label, value, words, pick }) {
  return el.fieldset({ class: "tiles" }, el.legend(label),
    Object.entries(words).map(([key, word]) => el.label({ key, class: "tile" },
      el.input({ type: "checkbox", name, checked: value === key, onChange: () => pick(value === key ? "" : key) }), el.span(word))));
}

/** What is not needed every time. @param {{ body: Body, say: (change: Partial<Body>) => void }} props */
function More({ body, say }) {
  return several(
    el.fieldset({ class: "tiles" }, el.legend(w.finding.safe), Object.entries(w.finding.safeWords).map(([key, word]) => el.label({ key, class: "tile" },
      el.input({ type: "radio", name: "safe", checked: body.safe_to_ride === key, onChange: () => say({ safe_to_ride: /** @type {Body["safe_to_ride"]} */ (key) }) }), el.span(word)))),
    el.div({ class: "tiles" },
      part(Tick, { id: "first", label: w.finding.firstCause, on: body.first_cause ?? false, flip: (on) => say({ first_cause: on }) }),
      part(Tick, { id: "pieces", label: w.finding.piecesMissing, on: body.pieces === "missing", flip: (on) => say({ pieces: on ? "missing" : "none" }) })),
    el.div({ class: "field" }, el.label({ for: "note" }, w.finding.note),
      el.textarea({ id: "note", rows: 2, maxLength: 10000, value: body.note, onInput: (event) => say({ note: event.currentTarget.value }) })));
}

/** @param {{ id: string, label: string, on: boolean, flip: (on: boolean) => void }} props */
function Tick({ id, label, on, flip }) {
  return el.label({ class: "tile", for: id },
    el.input({ id, type: "checkbox", checked: on, onChange: (event) => flip(event.currentTarget.checked) }), el.span(label));
}

