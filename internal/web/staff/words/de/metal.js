// What the drawing of where the metal went says, in German.
/** @type {import("../en.js").Words["metal"]} */
export const metal = {
  title: "Wohin das Metall kam",
  link: "Wohin das Metall kam",
  example: "Gezeichnet nach einem Beispielplan einer erfundenen Maschine. Nicht für die Arbeit; es gilt das Handbuch des Herstellers.",
  noMap: "Für diesen Auftrag ist kein Maschinenplan gewählt, also lässt sich nichts zeichnen.",
  nothing: "Noch ist nichts gefunden, was Späne abgibt.",
  touch: "Von oben zu lesen: wo es begann, dann wohin es weiterkam. Eine Stelle berühren und lesen, warum. Dicke Linien sind Wege, die es nahm oder genommen haben kann; dünne sind andere offene Wege.",
  inWords: "Dasselbe in Worten",
  close: "Schließen",
  way: "Am Weg des Öls",
  fed: "Davon versorgt",
  from: "aus",
  parts: (n) => (n === 1 ? "1 Teil" : `${n} Teile`),
  far: (n) => (n === 1 ? "1 Teil des Plans ist außer Reichweite." : `${n} Teile des Plans sind außer Reichweite.`),
  source: "kam von hier",
  state: {
    confirmed: "lag hier", exposed_coarse: "Stücke können hier sein", exposed_fines: "Abrieb kann hier sein", held_back: "davor aufgehalten",
    cleared: "angesehen und sauber", out_of_reach: "außer Reichweite",
  },
  materials: "Was dort sein kann:",
  material: { steel: "Stahl", cast_iron: "Grauguss", aluminium: "Aluminium", bronze: "Bronze", plastic: "Kunststoff", rubber: "Gummi", fibre: "Faser" },
  clearedBy: "Was es klären würde:",
  causes: "Die Kette der Ursachen",
  noCause: "Noch sagt kein Befund, wo es begann.",
  ledTo: "und das hat dies bewirkt:",
  reached: "Abrieb kam hin",
};
