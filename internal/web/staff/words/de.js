// Jeder Satz der Werkstattansicht auf Deutsch.
/** @type {import("./en.js").Words} */
export const de = {
  language: "de",
  app: "Benchtag",
  ok: { signIn: "Anmelden", signOut: "Abmelden", again: "Noch einmal", search: "Suchen", close: "Schließen", back: "Zurück", save: "Speichern" },
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
    lead: "Alle offenen Aufträge, danach geordnet, wer am Zug ist.",
    empty: "Kein offener Auftrag. Das nächste Motorrad beginnt an der Annahme.",
    count: (n) => (n === 1 ? "1 offener Auftrag" : `${n} offene Aufträge`),
    live: "Aktuell", stale: (time) => `Nicht aktuell: Stand ${time}`,
    find: "Nummer, Name, Telefon, Kennzeichen oder Ende der Fahrgestellnummer",
    next: "Als Nächstes", promised: "Zugesagt", since: "In diesem Abschnitt", late: "zugesagter Tag ist vorbei", today: "heute", noBay: "kein Platz",
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
  time: {
    minutes: (n) => (n === 1 ? "1 Minute" : `${n} Minuten`),
    hours: (n) => (n === 1 ? "1 Stunde" : `${n} Stunden`),
    days: (n) => (n === 1 ? "1 Tag" : `${n} Tage`),
  },
};
