// The condition mark: a numeral, so many of five bars, and a word. Each says
// the grade by itself; the blue only helps.
import { w } from "../words/words.js";
import { el, part } from "./view.js";

/** @typedef {0 | 1 | 2 | 3 | 4} Grade */
/** Every condition grade, best first. @type {Grade[]} */
export const grades = [0, 1, 2, 3, 4];

/** @param {{ grade: number | null }} props */
export function Mark({ grade }) {
  if (grade === null) return el.span({ class: "mark none" }, w.grade.none);
  return el.span({ class: `mark g${grade}` },
    el.b(String(grade)),
    part(Bars, { grade }),
    el.span(w.grade.words[/** @type {Grade} */ (grade)] ?? ""));
}

/** @param {{ grade: number }} props */
function Bars({ grade }) {
  return el.svg({ width: 46, height: 20, viewBox: "0 0 46 20", "aria-hidden": "true" },
    grades.map((n) => el.rect({ key: n, x: n * 9 + 1, y: 16 - n * 3.4, width: 7, height: n * 3.4 + 3, class: n <= grade ? "on" : "" })));
}

/** Five large marks to choose from, and a way to choose none.
 * @param {{ name: string, chosen: Grade | null, choose: (grade: Grade) => void }} props */
export function GradeChoice({ name, chosen, choose }) {
  return el.fieldset({ class: "grades" },
    el.legend(w.grade.ask),
    grades.map((grade) => el.label({ key: grade, class: `grade g${grade}` },
      el.input({ type: "radio", name, value: String(grade), checked: chosen === grade, onChange: () => choose(grade) }),
      part(Mark, { grade }))));
}
