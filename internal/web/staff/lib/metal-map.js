// Where each thing stands on the drawing of where the metal went. The drawing
// is read from above: first the places where debris came off, then what it
// came to next. Nothing here draws; the same machine gives the same drawing.

/** @typedef {import("./api.js").Schemas["SpreadComponent"]} Standing */
/** @typedef {{ key: string, name: string, in?: string }} MapPart */
/** @typedef {{ from: string, to: string, how: string }} Passage */
/** @typedef {{ components: MapPart[], compartments: { key: string, name: string }[], circuits: { passages: Passage[] }[] }} MachineMap */
/** @typedef {Standing & { source: boolean, lines: string[] }} Row */
/** @typedef {{ key: string, kind: "room" | "line" | "fed", name: string, from: string[], rows: Row[], depth: number, x: number, y: number, high: number }} Box */
/** @typedef {{ key: string, from: Box, to: Box, after: string, used: boolean, path: string }} Way */
/** @typedef {{ wide: number, high: number, boxes: Box[], ways: Way[] }} Drawing */

export const boxWide = 236;
/** Where a box's parts begin below its top, and how high a line is. */
export const headHigh = 40, lineHigh = 21;
const footHigh = 12, leastHigh = 72, gapX = 20, gapY = 64, letters = 23;

/** How a part can stand, worst first. @type {Standing["state"][]} */
export const states = ["confirmed", "exposed_coarse", "exposed_fines", "held_back", "cleared", "out_of_reach"];

/** Parts words into lines that fit a box. @param {string} words */
export function wrap(words) {
  /** @type {string[]} */
  const lines = [];
  for (const word of words.split(" ")) {
    const last = lines[lines.length - 1];
    if (last !== undefined && `${last} ${word}`.length <= letters) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** Adds to a list kept under a key. @template K, V @param {Map<K, V[]>} lists @param {K} key @param {V} value */
function add(lists, key, value) {
  const list = lists.get(key);
  if (!list) lists.set(key, [value]);
  else if (!list.includes(value)) list.push(value);
}

/** The steps that debris took or can have taken from place to place, and the
 * places where it began. A part in a room is at the room.
 * @param {Standing[]} reached @param {(key: string) => string} placeOf */
function steps(reached, placeOf) {
  /** @type {Map<string, string[]>} */
  const next = new Map();
  const places = new Set(/** @type {string[]} */ ([]));
  const begun = new Set(/** @type {string[]} */ ([]));
  for (const part of reached) {
    const way = part.path.map(placeOf);
    if (way.length <= 1) begun.add(placeOf(part.component));
    for (const place of [...way, placeOf(part.component)]) places.add(place);
    for (let i = 1; i < way.length; i++) {
      const [from = "", to = ""] = [way[i - 1], way[i]];
      if (from !== to) add(next, from, to);
    }
  }
  return { next, places, begun };
}

/** How many steps each place is from where it began.
 * @param {Map<string, string[]>} next @param {Iterable<string>} places @param {Iterable<string>} begun */
function depths(next, places, begun) {
  /** @type {Map<string, number>} */
  const depth = new Map();
  let front = [...begun];
  for (let n = 0; front.length > 0; n++) {
    front = front.filter((place) => !depth.has(place));
    for (const place of front) depth.set(place, n);
    front = front.flatMap((place) => next.get(place) ?? []);
  }
  for (const place of places) if (!depth.has(place)) depth.set(place, 0);
  return depth;
}

/** Gathers places into boxes: a room is one; parts one behind the other on an
 * oil way are one, and so are the last parts that one place feeds.
 * @param {ReturnType<typeof steps>} found @param {Set<string>} rooms
 * @returns {Map<string, string>} the box of each place */
function gather({ next, places }, rooms) {
  /** @type {Map<string, string[]>} */
  const before = new Map();
  for (const [from, tos] of next) for (const to of tos) add(before, to, from);
  /** @type {Map<string, string>} */
  const boxOf = new Map();
  /** @type {(place: string, seen: number) => string} */
  const box = (place, seen) => {
    const from = before.get(place) ?? [];
    const [only = ""] = from;
    if (rooms.has(place) || from.length !== 1 || seen > places.size) return place;
    if ((next.get(place) ?? []).length === 0 && (next.get(only) ?? []).length > 1) return `fed ${only}`;
    if (rooms.has(only) || (next.get(only) ?? []).length !== 1) return place;
    return box(only, seen + 1);
  };
  for (const place of places) boxOf.set(place, box(place, 0));
  return boxOf;
}

/** Lays the drawing out in so many columns.
 * @param {MachineMap} map @param {Standing[]} standings @param {number} columns
 * @returns {Drawing} */
export function layOut(map, standings, columns) {
  const reached = standings.filter((s) => s.state !== "out_of_reach");
  const roomOf = new Map(map.components.map((c) => [c.key, c.in]));
  const nameOf = new Map([...map.components, ...map.compartments].map((c) => [c.key, c.name]));
  const rooms = new Set(map.compartments.map((c) => c.key));
  /** @param {string} key */
  const placeOf = (key) => roomOf.get(key) || key;
  const found = steps(reached, placeOf);
  const depth = depths(found.next, found.places, found.begun);
  const boxOf = gather(found, rooms);

  /** @type {Map<string, Box>} */
  const boxes = new Map();
  for (const place of [...found.places].sort((a, b) => (depth.get(a) ?? 0) - (depth.get(b) ?? 0))) {
    const key = boxOf.get(place) ?? place;
    if (boxes.has(key)) continue;
    const fed = key.startsWith("fed ");
    boxes.set(key, { key, kind: rooms.has(key) ? "room" : fed ? "fed" : "line", name: nameOf.get(key) ?? key,
      from: [], rows: [], depth: 0, x: 0, y: 0, high: 0 });
  }
  for (const part of reached) {
    const box = boxes.get(boxOf.get(placeOf(part.component)) ?? "");
    box?.rows.push({ ...part, source: part.path.length <= 1 && part.state === "confirmed", lines: wrap(part.name) });
  }
  for (const box of boxes.values()) {
    // Along a way the oil's order is the reader's; in a room the worst comes first.
    box.rows.sort((a, b) => box.kind === "line" ? (depth.get(a.component) ?? 0) - (depth.get(b.component) ?? 0)
      : Number(b.source) - Number(a.source) || states.indexOf(a.state) - states.indexOf(b.state));
  }
  const ways = between(map, found, boxes, boxOf, placeOf, nameOf);
  deepen([...boxes.values()], ways, [...found.begun].map((place) => boxOf.get(place) ?? place));
  const size = place([...boxes.values()], ways, columns);
  for (const way of ways) way.path = curve(way);
  return { ...size, boxes: [...boxes.values()], ways };
}

/** The ways between boxes: those that debris took, and the others that are open.
 * @param {MachineMap} map @param {ReturnType<typeof steps>} found @param {Map<string, Box>} boxes
 * @param {Map<string, string>} boxOf @param {(key: string) => string} placeOf @param {Map<string, string>} nameOf */
function between(map, found, boxes, boxOf, placeOf, nameOf) {
  /** @type {Map<string, Way>} */
  const ways = new Map();
  /** @type {(from: string, to: string, used: boolean) => void} */
  const lay = (from, to, used) => {
    const [a, b] = [boxes.get(boxOf.get(from) ?? ""), boxes.get(boxOf.get(to) ?? "")];
    if (!a || !b || a === b) return;
    const key = `${a.key} > ${b.key}`;
    if (!ways.has(key) && !ways.has(`${b.key} > ${a.key}`)) ways.set(key, { key, from: a, to: b, after: nameOf.get(from) ?? from, used, path: "" });
  };
  for (const [from, tos] of found.next) for (const to of tos) lay(from, to, true);
  for (const circuit of map.circuits) for (const p of circuit.passages) lay(placeOf(p.from), placeOf(p.to), false);
  return [...ways.values()];
}

/** Finds how far each box is from where it began, what it is reached from, and
 * how high it is with that. @param {Box[]} boxes @param {Way[]} ways @param {string[]} begun */
function deepen(boxes, ways, begun) {
  /** @type {Map<string, string[]>} */
  const next = new Map();
  for (const way of ways) if (way.used) add(next, way.from.key, way.to.key);
  const depth = depths(next, boxes.map((b) => b.key), begun);
  for (const box of boxes) {
    box.depth = depth.get(box.key) ?? 0;
    const from = ways.filter((way) => way.used && way.to === box).map((way) => way.after);
    box.from = box.depth > 0 ? wrap(from.join(", ")) : [];
    const lines = box.from.length + box.rows.reduce((n, r) => n + r.lines.length, 0);
    box.high = Math.max(leastHigh, headHigh + footHigh + lineHigh * lines);
  }
}

/** Places the boxes, a row for each step from where it began, next to what
 * they come from. @param {Box[]} boxes @param {Way[]} ways @param {number} columns */
function place(boxes, ways, columns) {
  let y = 8;
  const wide = columns * boxWide + (columns - 1) * gapX + 16;
  const deepest = Math.max(0, ...boxes.map((b) => b.depth));
  for (let depth = 0; depth <= deepest; depth++) {
    const row = boxes.filter((b) => b.depth === depth);
    const pull = new Map(row.map((b) => {
      const from = ways.filter((w) => w.used && w.to === b && w.from.depth < depth).map((w) => w.from.x);
      return [b, from.length > 0 ? from.reduce((sum, x) => sum + x, 0) / from.length : 0];
    }));
    row.sort((a, b) => (pull.get(a) ?? 0) - (pull.get(b) ?? 0));
    for (let i = 0; i < row.length; i += columns) {
      const shelf = row.slice(i, i + columns);
      const left = (wide - shelf.length * boxWide - (shelf.length - 1) * gapX) / 2;
      shelf.forEach((b, n) => { [b.x, b.y] = [left + n * (boxWide + gapX), y]; });
      y += Math.max(...shelf.map((b) => b.high)) + gapY;
    }
  }
  return { wide, high: Math.max(y - gapY + 8, 80) };
}

/** The line of a way: out at the bottom and in at the top, or round the side
 * where it goes back or stays on a level. @param {Way} way */
function curve({ from, to }) {
  const middle = boxWide / 2;
  if (to.y > from.y) {
    const [x1, y1, x2, y2] = [from.x + middle, from.y + from.high, to.x + middle, to.y - 3];
    const bend = Math.min(gapY, (y2 - y1) / 2);
    return `M${x1} ${y1}C${x1} ${y1 + bend} ${x2} ${y2 - bend} ${x2} ${y2}`;
  }
  const right = to.x >= from.x;
  const [x1, y1, x2, y2] = [from.x + (right ? boxWide : 0), from.y + 24, to.x + (right && to.x > from.x ? -3 : boxWide + 3), to.y + 24];
  return `M${x1} ${y1}C${x1 + (right ? 24 : -24)} ${y1} ${x2 + (right && to.x > from.x ? -24 : 24)} ${y2} ${x2} ${y2}`;
}
