// Jeder Satz der Werkstattansicht auf Deutsch.
import { bench } from "./de/bench.js";
import { metal } from "./de/metal.js";
import * as mine from "./de/counter.js";
import * as house from "./de/office.js";

/** @type {import("./en.js").Words} */
export const de = {
  metal,
  language: "de",
  app: "Benchtag",
  ok: { signIn: "Anmelden", signOut: "Abmelden", again: "Noch einmal", search: "Suchen", save: "Speichern", leave: "Lassen", strike: "Streichen", because: "Weil", amountUnclear: "Geben Sie einen Betrag ein, etwa 120,50.", countUnclear: "Geben Sie eine Zahl ein." },
  trouble: {
    title: "Das hat nicht geklappt",
    unreachable: "Der Server ist nicht erreichbar. Was hier steht, kann alt sein.",
    unknown: "Hier ging etwas schief. Versuchen Sie es noch einmal; bleibt es dabei, sagen Sie es dem Inhaber.",
    noData: "Keine Daten",
    missingPage: "Diese Seite gibt es nicht.",
  },
  signIn: {
    title: "Anmelden", shop: "Werkstatt", shopHint: "Der Kurzname, den Sie vom Inhaber haben",
    login: "Anmeldename", password: "Passwort", busy: "Anmeldung läuft …",
  },
  floor: {
    title: "Werkstatt",
    empty: "Kein offener Auftrag. Das nächste Motorrad beginnt an der Annahme.",
    count: (n) => (n === 1 ? "1 offener Auftrag" : `${n} offene Aufträge`),
    live: "Aktuell", stale: (time) => `Nicht aktuell: Stand ${time}`,
    find: "Nummer, Name, Telefon, Kennzeichen oder Ende der Fahrgestellnummer",
    promised: "Zugesagt", since: "In diesem Abschnitt", late: "zugesagter Tag ist vorbei", today: "heute", noBay: "kein Platz",
    onHold: "Ruht", found: "Gefunden", nothingFound: "Nichts gefunden. Versuchen Sie weniger Buchstaben oder das Ende des Kennzeichens.",
  },
  move: {
    bench: "Die Werkbank", counter: "Die Annahme", customer: "Der Kunde", parts: "Teile", outside: "Fremdarbeit", nobody: "Niemand",
  },
  moveHint: {
    bench: "Hier kann ein Mechaniker weitermachen.", counter: "Hier kann die Annahme weitermachen.", customer: "Wir warten auf eine Antwort.",
    parts: "Wir warten auf Teile.", outside: "Wir warten auf Arbeit außer Haus.", nobody: "Es fehlt nichts.",
  },
  stage: {
    intake: "Annahme", diagnosis: "Diagnose", teardown: "Zerlegen", authorization: "Freigabe", repair: "Reparatur",
    road_test: "Probefahrt", release: "Übergabe", closed: "Abgeschlossen", withdrawn: "Zurückgenommen",
  },
  grade: {
    ask: "Zustand", none: "nicht bewertet",
    words: { 0: "wie neu", 1: "brauchbar", 2: "nahe am Grenzmaß", 3: "über dem Grenzmaß", 4: "ausgefallen" },
  },
  damage: {
    cracked: "gerissen", bent: "verbogen", broken: "gebrochen", stripped_thread: "Gewinde ausgerissen", heat_blued: "blau angelaufen", scored: "riefig",
    wiped: "verwischt", seized: "festgegangen", worn: "verschlissen", stretched: "gelängt", hooked: "hakig", hollowed: "ausgehöhlt", burnt: "verbrannt", warped: "verzogen",
    corroded: "korrodiert", chafed: "durchgescheuert", perished: "porös", leaking: "undicht", contaminated: "verschmutzt", loose: "lose", missing: "fehlt",
    wrong_part: "falsches Teil", badly_fitted_before: "früher schlecht eingebaut", electrical_open: "Leitung unterbrochen", electrical_short: "Kurzschluss",
    surface_fatigue: "Grübchen oder Ausbrüche", scuffing: "gefressen", plastic_deformation: "plastisch verformt", tooth_breakage: "Zahn gebrochen",
    fretting: "Passungsrost", overheated: "überhitzt", indented: "eingedrückt",
  },
  advice: {
    reuse: "wieder verwenden", clean_and_reuse: "reinigen und wieder verwenden", adjust: "einstellen", rework: "nacharbeiten", send_out: "außer Haus geben", replace: "ersetzen",
    look_further: "weiter nachsehen", watch: "im Auge behalten",
  },
  job: {
    said: "Was der Kunde sagt", nothingSaid: "Noch ist nichts aufgeschrieben.",
    answer: { finding: "– durch einen Befund beantwortet", request: "– ein Wunsch", normal_for_machine: "– bei dieser Maschine normal", not_reproduced: "– trat nicht auf",
      not_looked_into: "– auf Wunsch des Kunden nicht untersucht", not_explained: "– nicht erklärt" },
    found: "Was wir gefunden haben", newFinding: "Neuer Befund", tags: "Beutel und Anhänger", noTags: "Nichts ist gekennzeichnet.", lies: "liegt bei",
    outcome: { refitted: "wieder eingebaut", replaced: "ersetzt", returned: "zurückgegeben", kept: "aufbewahrt", scrapped: "verschrottet", off_on_purpose: "mit Absicht ab", with_machine: "bei der Maschine" },
    steps: "Wie es weitergeht", ready: "es fehlt nichts", unmet: (n) => (n === 1 ? "1 Sache fehlt" : `${n} Sachen fehlen`),
    take: (stage) => `Weiter zu: ${stage}`,
    noState: "Geöffnet, und kein Zettel sagt, wie sie steht", doNotStart: "nicht starten",
    piecesMissing: "Teile fehlen", advised: "Rat:", firstCause: "Hier fing es an.", notSafe: "Nicht fahrsicher", notLooked: "Nicht angesehen:",
  },
  finding: {
    component: "Welches Teil", damage: "Wie es ausfiel", advised: "Was damit geschieht", safe: "Fahrsicher?", safeWords: { not_known: "nicht bekannt", yes: "ja", no: "nein" },
    firstCause: "Hier fing es an", piecesMissing: "Teile fehlen", note: "Notiz", nothing: "nicht gesagt", leave: "Verwerfen",
  },
  counter: mine.counter, symptom: mine.symptom, afresh: mine.afresh, office: house.office, messages: house.messages, signOn: house.signOn,
  time: {
    minutes: (n) => (n === 1 ? "1 Minute" : `${n} Minuten`),
    hours: (n) => (n === 1 ? "1 Stunde" : `${n} Stunden`),
    days: (n) => (n === 1 ? "1 Tag" : `${n} Tage`),
  },
  ...bench,
};
