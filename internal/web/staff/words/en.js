// Every sentence the staff app shows, in English. The other languages have the
// same keys; the type check finds what is missing.
export const en = {
  language: "en",
  app: "Benchtag",
  ok: { signIn: "Sign in", signOut: "Sign out", again: "Try again", search: "Search", close: "Close", back: "Back", save: "Save" },
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
    lead: "Every open job, by whose move it is.",
    empty: "No open job. The next machine starts at the counter.",
    count: (/** @type {number} */ n) => (n === 1 ? "1 open job" : `${n} open jobs`),
    live: "Live", stale: (/** @type {string} */ time) => `Not live: as of ${time}`,
    find: "Number, name, phone, plate or the end of a VIN",
    next: "Next", promised: "Promised", since: "In this stage", late: "promised day has passed", today: "today", noBay: "no bay",
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
  time: {
    minutes: (/** @type {number} */ n) => (n === 1 ? "1 minute" : `${n} minutes`),
    hours: (/** @type {number} */ n) => (n === 1 ? "1 hour" : `${n} hours`),
    days: (/** @type {number} */ n) => (n === 1 ? "1 day" : `${n} days`),
  },
};

/** @typedef {typeof en} Words */
