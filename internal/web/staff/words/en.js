// Every sentence the staff app shows, in English. The other languages have the
// same keys; the type check finds what is missing.
import { bench } from "./en/bench.js";
import { metal } from "./en/metal.js";
import * as mine from "./en/counter.js";
import * as house from "./en/office.js";

export const en = {
  metal,
  language: "en",
  app: "Benchtag",
  ok: { signIn: "Sign in", signOut: "Sign out", again: "Try again", search: "Search", save: "Save", leave: "Leave it", strike: "Strike it", because: "Because", amountUnclear: "Type an amount, as in 120.50.", countUnclear: "Type a number." },
  trouble: {
    title: "This did not work",
    unreachable: "The server cannot be reached. What you see may be old.",
    unknown: "Something went wrong here. Try again; if it stays, tell the owner.",
    noData: "No data",
    missingPage: "There is no such page.",
  },
  signIn: {
    title: "Sign in", shop: "Shop", shopHint: "The short name your owner gave you",
    login: "Name to sign in", password: "Password", busy: "Signing in …",
  },
  floor: {
    title: "Floor",
    empty: "No open job. The next machine starts at the counter.",
    count: (/** @type {number} */ n) => (n === 1 ? "1 open job" : `${n} open jobs`),
    live: "Live", stale: (/** @type {string} */ time) => `Not live: as of ${time}`,
    find: "Number, name, phone, plate or the end of a VIN",
    promised: "Promised", since: "In this stage", late: "promised day has passed", today: "today", noBay: "no bay",
    onHold: "On hold", found: "Found", nothingFound: "Nothing found. Try fewer letters, or the last figures of the plate.",
  },
  move: {
    bench: "The bench", counter: "The counter", customer: "The customer", parts: "Parts", outside: "Outside work", nobody: "Nobody",
  },
  moveHint: {
    bench: "A technician can go on now.", counter: "The counter can go on now.", customer: "We wait for an answer.",
    parts: "We wait for parts.", outside: "We wait for work done elsewhere.", nobody: "Nothing is missing.",
  },
  stage: {
    intake: "Intake", diagnosis: "Diagnosis", teardown: "Teardown", authorization: "Authorization", repair: "Repair",
    road_test: "Road test", release: "Release", closed: "Closed", withdrawn: "Taken back",
  },
  grade: {
    ask: "Condition", none: "not graded",
    words: { 0: "as new", 1: "serviceable", 2: "near limit", 3: "beyond limit", 4: "failed" },
  },
  damage: {
    cracked: "cracked", bent: "bent", broken: "broken", stripped_thread: "stripped thread", heat_blued: "blue from heat", scored: "scored",
    wiped: "wiped", seized: "seized", worn: "worn", stretched: "stretched", hooked: "hooked", hollowed: "hollowed", burnt: "burnt", warped: "warped",
    corroded: "corroded", chafed: "chafed", perished: "perished", leaking: "leaking", contaminated: "contaminated", loose: "loose", missing: "missing",
    wrong_part: "wrong part", badly_fitted_before: "badly fitted before", electrical_open: "open circuit", electrical_short: "short circuit",
    surface_fatigue: "pitted or spalled", scuffing: "scuffed", plastic_deformation: "pressed out of shape", tooth_breakage: "tooth broken",
    fretting: "fretted", overheated: "overheated", indented: "indented",
  },
  advice: {
    reuse: "use again", clean_and_reuse: "clean and use again", adjust: "adjust", rework: "rework", send_out: "send out", replace: "replace",
    look_further: "look further", watch: "keep an eye on it",
  },
  job: {
    said: "What the customer says", nothingSaid: "Nothing is written down yet.",
    answer: { finding: "– answered by a finding", request: "– a request", normal_for_machine: "– normal for this machine", not_reproduced: "– could not be reproduced",
      not_looked_into: "– not looked into, at the customer's wish", not_explained: "– not explained" },
    found: "What we found", newFinding: "New finding", tags: "Bags and tags", noTags: "Nothing is tagged.", lies: "lies at",
    outcome: { refitted: "fitted again", replaced: "replaced", returned: "given back", kept: "kept", scrapped: "scrapped", off_on_purpose: "off on purpose", with_machine: "with the machine" },
    steps: "Where it goes from here", ready: "nothing is missing", unmet: (/** @type {number} */ n) => (n === 1 ? "1 thing is missing" : `${n} things are missing`),
    take: (/** @type {string} */ stage) => `Go on to: ${stage}`,
    noState: "Opened up, and no note says how it stands", doNotStart: "do not start",
    piecesMissing: "pieces missing", advised: "advice:", firstCause: "This is where the trouble began.", notSafe: "Not safe to ride", notLooked: "Not looked at:",
  },
  finding: {
    component: "Which part", damage: "How it failed", advised: "What to do with it", safe: "Safe to ride?", safeWords: { not_known: "not known", yes: "yes", no: "no" },
    firstCause: "The trouble began here", piecesMissing: "Pieces are missing", note: "Note", nothing: "not said", leave: "Leave it",
  },
  counter: mine.counter, symptom: mine.symptom, afresh: mine.afresh, office: house.office, messages: house.messages, signOn: house.signOn,
  time: {
    minutes: (/** @type {number} */ n) => (n === 1 ? "1 minute" : `${n} minutes`),
    hours: (/** @type {number} */ n) => (n === 1 ? "1 hour" : `${n} hours`),
    days: (/** @type {number} */ n) => (n === 1 ? "1 day" : `${n} days`),
  },
  ...bench,
};

/** @typedef {typeof en} Words */
