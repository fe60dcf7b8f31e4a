// Was die Werkbank sagt, auf Deutsch.
/** @type {typeof import("../en/bench.js").bench} */
export const bench = {
  outbox: {
    title: "Noch nicht gesendet",
    count: (n) => (n === null ? "Noch nicht gesendet: unbekannt" : n === 0 ? "Alles gesendet" : `Noch nicht gesendet: ${n}`),
    unknown: "Dieses Tablet kann nicht sagen, was es hält: Sein Speicher lässt sich nicht öffnen. Schließen Sie die anderen Fenster und versuchen Sie es noch einmal. Löschen Sie keine Browserdaten.",
    none: "Alles, was hier entstand, ist auf dem Server.",
    here: (when) => `Um ${when} auf diesem Tablet gespeichert; noch nicht auf dem Server`,
    notHere: "Nicht gespeichert: Auf dem Tablet ist kein Platz, oder der Speicher lässt sich nicht öffnen. Schreiben Sie es auf, bevor Sie weitermachen.",
    saved: "Auf diesem Tablet gespeichert.",
    sendNow: "Jetzt senden", sending: "Wird gesendet …",
    refused: "Der Server hat es nicht angenommen:", refusedHint: "Es bleibt hier. Öffnen Sie den Auftrag und berichtigen Sie es, oder legen Sie es beiseite.",
    theirs: "Jemand anders hat das auch geändert.", choose: "Beides ansehen",
    aside: "Beiseitelegen", asideState: "Beiseitegelegt; wird nicht gesendet", back: "Wieder aufnehmen",
    other: (name) => `Von ${name}: Es geht hinaus, wenn sich diese Person hier anmeldet`,
    after: "Wartet auf das, wozu es gehört",
    kinds: { finding: "Befund", measurement: "Messung", tag: "Beutel oder Anhänger", photo: "Foto, in Worten", picture: "Foto" },
    openJob: "Zum Auftrag",
    stays: { yes: "Der Browser behält diesen Speicher, bis Sie ihn löschen.", no: "Der Browser darf diesen Speicher löschen, wenn der Platz knapp wird. Senden Sie, bevor Sie das Tablet weglegen.", unknown: "Der Browser sagt nicht, ob er diesen Speicher behält." },
    shell: { yes: "Diese Ansicht startet hier auch ohne Netz.", no: "Diese Ansicht braucht zum Starten den Server. Fragen Sie den Inhaber nach einer Adresse mit https." },
    signOutAsk: (n) => (n === null ? "Dieses Tablet kann nicht sagen, was noch nicht gesendet ist." : n === 1 ? "1 Eintrag von hier ist noch nicht gesendet." : `${n} Einträge von hier sind noch nicht gesendet.`),
    signOutStays: "Es bleibt auf diesem Tablet und geht hinaus, wenn Sie sich hier wieder anmelden.",
    signOutAnyway: "Trotzdem abmelden", stay: "Bleiben",
  },
  conflict: {
    title: "Auch von jemand anderem geändert",
    lead: "Beide Fassungen bleiben, bis Sie wählen. Nichts wurde überschrieben.",
    field: "", mine: "Von diesem Tablet", theirs: "Auf dem Server", same: "Alles Übrige ist in beiden gleich.",
    keepMine: "Die des Tablets behalten", takeTheirs: "Die des Servers nehmen", undone: "Hier gibt es nichts mehr zu wählen.",
    fields: {
      component: "Welches Teil", looked_at_grade: "Zustand nach Augenschein", damage_mode: "Wie es ausfiel", advised: "Was damit geschieht", safe_to_ride: "Fahrsicher?",
      first_cause: "Hier fing es an", pieces: "Stücke", note: "Notiz", captured_at: "Aufgenommen um", holds: "Was darin ist", lies_at: "Wo es liegt", from_where: "Wo es saß",
    },
  },
  stale: {
    kept: (when) => `Keine Verbindung zum Server. Stand ${when}, auf diesem Tablet aufbewahrt.`,
    old: (when) => `Älter als ein Tag: Stand ${when}. Es kann sich etwas geändert haben; fragen Sie nach, bevor Sie sich darauf verlassen.`,
    nothing: "Dieser Auftrag wurde auf diesem Tablet noch nicht gelesen, also gibt es nichts zu zeigen.",
  },
  capture: {
    title: "Neuer Befund", change: "Ändern", which: "Welches Teil", otherPart: "Ein anderes Teil, mit Namen", pick: "Teile dieser Maschine", all: "Alle Teile", fewer: "Teil suchen",
    photos: "Fotos", take: "Foto aufnehmen", noPicture: "Diese Datei ist kein Bild, das der Browser lesen kann. Nehmen Sie JPEG oder PNG.", heic: "Dieser Browser liest kein HEIC. Stellen Sie die Kamera auf JPEG („maximale Kompatibilität“).",
    remove: "Dieses Foto herausnehmen", began: "Diesen haben Sie schon begonnen; hier ist er wieder.", clear: "Von vorn", undo: "Rückgängig", more: "Mehr dazu",
    photoOf: (n) => `Foto ${n}`, reading: "Das Foto wird verkleinert …", leave: "Vorerst weglegen", whichFirst: "Sagen Sie zuerst, welches Teil.",
  },
};
