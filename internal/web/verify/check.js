"use strict";
// Checks a receipt with nothing but the receipt and the keys given: no
// network, no library, no cryptography of the browser (which is not there for
// a page opened from a file, and lacks Ed25519 in many). Slow is fine here,
// wrong is not: the form is the shortest that follows the standards. All
// inputs are public, so nothing needs to take constant time.
//
// Bytes are Uint8Array; a "raw" string holds one byte a character.
const receiptCheck = (() => {
  // ---- Bytes

  const utf8 = (text) => new TextEncoder().encode(text);
  const hex = (bytes) => Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  const fromHex = (text) => Uint8Array.from(text.match(/../g) ?? [], (pair) => parseInt(pair, 16));
  const same = (a, b) => a.length === b.length && a.every((byte, i) => byte === b[i]);
  const fromRaw = (raw) => Uint8Array.from(raw, (c) => c.charCodeAt(0));

  function toRaw(bytes) {
    let raw = "";
    for (let i = 0; i < bytes.length; i += 8192) raw += String.fromCharCode(...bytes.subarray(i, i + 8192));
    return raw;
  }

  function joined(...parts) {
    const out = new Uint8Array(parts.reduce((n, p) => n + p.length, 0));
    let at = 0;
    for (const p of parts) { out.set(p, at); at += p.length; }
    return out;
  }

  // text reads UTF-8 and refuses what is not.
  function text(raw) {
    try {
      return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(fromRaw(raw));
    } catch {
      throw new Unreadable("a part of the receipt is no text");
    }
  }

  // base64 reads RFC 4648 section 4 in its one spelling.
  function base64(code) {
    let raw;
    try { raw = atob(code); } catch { throw new Unreadable("a part of the receipt is not in base64"); }
    if (btoa(raw) !== code) throw new Unreadable("a part of the receipt is not in its one spelling");
    return fromRaw(raw);
  }

  // ---- SHA-2 (FIPS 180-4)

  // The constants are the first bits of the fractions of square and cube
  // roots of the first primes (FIPS 180-4 section 4.2.2, 4.2.3, 5.3.3, 5.3.5).
  const primes = [];
  for (let n = 2; primes.length < 80; n++) if (primes.every((p) => n % p)) primes.push(n);

  // fraction gives 64 bits of the fraction of the k-th root of a prime.
  function fraction(prime, k) {
    const target = BigInt(prime) << (64n * k);
    let low = 0n, high = 1n << 72n;
    while (high - low > 1n) {
      const middle = (low + high) / 2n;
      if (middle ** k <= target) low = middle; else high = middle;
    }
    return low & 0xffffffffffffffffn;
  }
  const cubes = primes.map((p) => fraction(p, 3n));
  const squares = primes.slice(0, 8).map((p) => fraction(p, 2n));
  const cubes32 = Uint32Array.from(cubes.slice(0, 64), (c) => Number(c >> 32n));
  const squares32 = Uint32Array.from(squares, (s) => Number(s >> 32n));

  // padded gives the message with its padding, in whole blocks.
  function padded(message, block, lengthBytes) {
    const total = Math.ceil((message.length + 1 + lengthBytes) / block) * block;
    const out = new Uint8Array(total);
    out.set(message);
    out[message.length] = 0x80;
    let bits = message.length * 8;
    for (let i = total - 1; bits > 0; i--) { out[i] = bits % 256; bits = Math.floor(bits / 256); }
    return out;
  }

  function sha256(message) {
    const state = squares32.slice();
    const w = new Uint32Array(64);
    const input = padded(message, 64, 8);
    const view = new DataView(input.buffer);
    const turn = (x, n) => (x >>> n) | (x << (32 - n));
    for (let at = 0; at < input.length; at += 64) {
      for (let t = 0; t < 16; t++) w[t] = view.getUint32(at + 4 * t);
      for (let t = 16; t < 64; t++) {
        const s0 = turn(w[t - 15], 7) ^ turn(w[t - 15], 18) ^ (w[t - 15] >>> 3);
        const s1 = turn(w[t - 2], 17) ^ turn(w[t - 2], 19) ^ (w[t - 2] >>> 10);
        w[t] = w[t - 16] + s0 + w[t - 7] + s1;
      }
      let [a, b, c, d, e, f, g, h] = state;
      for (let t = 0; t < 64; t++) {
        const t1 = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + cubes32[t] + w[t]) | 0;
        const t2 = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
        h = g; g = f; f = e; e = (d + t1) | 0; d = c; c = b; b = a; a = (t1 + t2) | 0;
      }
      [a, b, c, d, e, f, g, h].forEach((v, i) => { state[i] += v; });
    }
    const out = new DataView(new ArrayBuffer(32));
    state.forEach((v, i) => out.setUint32(4 * i, v));
    return new Uint8Array(out.buffer);
  }

  function sha512(message) {
    const mask = 0xffffffffffffffffn;
    const state = squares.slice();
    const input = padded(message, 128, 16);
    const view = new DataView(input.buffer);
    const turn = (x, n) => ((x >> n) | (x << (64n - n))) & mask;
    for (let at = 0; at < input.length; at += 128) {
      const w = [];
      for (let t = 0; t < 16; t++) w.push(view.getBigUint64(at + 8 * t));
      for (let t = 16; t < 80; t++) {
        const s0 = turn(w[t - 15], 1n) ^ turn(w[t - 15], 8n) ^ (w[t - 15] >> 7n);
        const s1 = turn(w[t - 2], 19n) ^ turn(w[t - 2], 61n) ^ (w[t - 2] >> 6n);
        w.push((w[t - 16] + s0 + w[t - 7] + s1) & mask);
      }
      let [a, b, c, d, e, f, g, h] = state;
      for (let t = 0; t < 80; t++) {
        const t1 = h + (turn(e, 14n) ^ turn(e, 18n) ^ turn(e, 41n)) + ((e & f) ^ (~e & mask & g)) + cubes[t] + w[t];
        const t2 = (turn(a, 28n) ^ turn(a, 34n) ^ turn(a, 39n)) + ((a & b) ^ (a & c) ^ (b & c));
        h = g; g = f; f = e; e = (d + t1) & mask; d = c; c = b; b = a; a = (t1 + t2) & mask;
      }
      [a, b, c, d, e, f, g, h].forEach((v, i) => { state[i] = (state[i] + v) & mask; });
    }
    const out = new DataView(new ArrayBuffer(64));
    state.forEach((v, i) => out.setBigUint64(8 * i, v));
    return new Uint8Array(out.buffer);
  }

  // hmac is HMAC-SHA256 (RFC 2104).
  function hmac(key, message) {
    const block = new Uint8Array(64);
    block.set(key.length > 64 ? sha256(key) : key);
    return sha256(joined(block.map((b) => b ^ 0x5c), sha256(joined(block.map((b) => b ^ 0x36), message))));
  }

  // ---- The tree (RFC 6962 section 2.1)

  const leaf = (bytes) => sha256(joined([0], bytes));
  const node = (left, right) => sha256(joined([1], left, right));

  // rootOf climbs from a leaf; null when the path does not fit the place.
  function rootOf(leafHash, index, size, path) {
    if (size === 1) return path.length === 0 ? leafHash : null;
    if (path.length === 0) return null;
    let k = 1;
    while (2 * k < size) k *= 2;
    const last = path[path.length - 1], rest = path.slice(0, -1);
    if (index < k) {
      const left = rootOf(leafHash, index, k, rest);
      return left && node(left, last);
    }
    const right = rootOf(leafHash, index - k, size - k, rest);
    return right && node(last, right);
  }

  // ---- Ed25519 (RFC 8032 section 5.1)

  const P = 2n ** 255n - 19n;
  const ORDER = 2n ** 252n + 27742317777372353535851937790883648493n;
  const mod = (a, m = P) => ((a % m) + m) % m;

  function power(base, exponent) {
    let out = 1n;
    for (let b = mod(base), e = exponent; e > 0n; e >>= 1n) {
      if (e & 1n) out = mod(out * b);
      b = mod(b * b);
    }
    return out;
  }
  const inverse = (a) => power(a, P - 2n);
  const D = mod(-121665n * inverse(121666n));
  const ROOT_OF_MINUS_1 = power(2n, (P - 1n) / 4n);

  function little(bytes) {
    let n = 0n;
    for (let i = bytes.length - 1; i >= 0; i--) n = (n << 8n) | BigInt(bytes[i]);
    return n;
  }

  // point decodes 32 bytes (section 5.1.3), or gives null.
  function point(bytes) {
    const all = little(bytes);
    const y = all & (2n ** 255n - 1n), odd = all >> 255n;
    if (y >= P) return null;
    const u = mod(y * y - 1n), v = mod(D * y * y + 1n);
    let x = mod(u * v ** 3n * power(u * v ** 7n, (P - 5n) / 8n));
    if (mod(v * x * x) === mod(-u)) x = mod(x * ROOT_OF_MINUS_1);
    if (mod(v * x * x) !== u || (x === 0n && odd === 1n)) return null;
    if ((x & 1n) !== odd) x = P - x;
    return { X: x, Y: y, Z: 1n, T: mod(x * y) };
  }

  // plus adds two points in extended coordinates (section 5.1.4).
  function plus(p, q) {
    const a = mod((p.Y - p.X) * (q.Y - q.X)), b = mod((p.Y + p.X) * (q.Y + q.X));
    const c = mod(2n * p.T * q.T * D), d = mod(2n * p.Z * q.Z);
    const e = b - a, f = d - c, g = d + c, h = b + a;
    return { X: mod(e * f), Y: mod(g * h), Z: mod(f * g), T: mod(e * h) };
  }

  function times(n, p) {
    let out = { X: 0n, Y: 1n, Z: 1n, T: 0n };
    for (let q = p, k = n; k > 0n; k >>= 1n) {
      if (k & 1n) out = plus(out, q);
      q = plus(q, q);
    }
    return out;
  }

  function encoded(p) {
    const z = inverse(p.Z), x = mod(p.X * z), y = mod(p.Y * z);
    let all = y | ((x & 1n) << 255n);
    return Uint8Array.from({ length: 32 }, () => { const b = Number(all & 255n); all >>= 8n; return b; });
  }

  const BASE = point(fromHex("5866666666666666666666666666666666666666666666666666666666666666"));

  // signed reports whether the signature holds (section 5.1.7, without the
  // cofactor: the one encoding of R is compared).
  function signed(key, message, signature) {
    if (key.length !== 32 || signature.length !== 64) return false;
    const a = point(key), s = little(signature.slice(32));
    if (!a || s >= ORDER) return false;
    const h = little(sha512(joined(signature.slice(0, 32), key, message))) % ORDER;
    const minusA = { X: mod(-a.X), Y: a.Y, Z: 1n, T: mod(-a.T) };
    return same(encoded(plus(times(s, BASE), times(h, minusA))), signature.slice(0, 32));
  }

  // ---- The receipt's form

  class Unreadable extends Error {}

  const MAX = 8 << 20, MAX_PART = 4 << 20;
  const TITLE = "benchtag-receipt 1";
  const PARTS = ["key", "proof", "header", "salts", "body", "record", "document", "end"];
  const HEX = "[0-9a-f]{64}", ID = "[A-Za-z0-9._:-]{1,64}", WORD = "[a-z][a-z0-9_]{0,63}", COUNT = "(?:0|[1-9][0-9]{0,14})";

  const OPENING = /*HEAD-OPENING*/"";
  const CLOSING = /*HEAD-CLOSING*/"";

  function match(pattern, value, what) {
    const found = new RegExp("^" + pattern + "$", "u").exec(value);
    if (!found) throw new Unreadable(what);
    return found;
  }

  // parts takes the parts off, one after another.
  function parts(raw) {
    const start = raw.indexOf("\n=== key ");
    if (start < 0 || !raw.startsWith(TITLE + "\n")) throw new Unreadable("the file is not a receipt, or its beginning was changed");
    const out = { head: raw.slice(0, start + 1) };
    let at = start + 1;
    for (const name of PARTS) {
      const wrong = "part " + name + " of the receipt is missing, cut off or of another length than it says";
      const end = raw.indexOf("\n", at);
      if (end < 0) throw new Unreadable(wrong);
      const count = Number(match("=== " + name + " (" + COUNT + ")", raw.slice(at, end), wrong)[1]);
      if (raw[end + 1 + count] !== "\n" || count > MAX_PART) throw new Unreadable(wrong);
      out[name] = raw.slice(end + 1, end + 1 + count);
      text(out[name]);
      at = end + 2 + count;
    }
    if (at !== raw.length) throw new Unreadable("there are bytes after the end of the receipt");
    if (out.end !== "") throw new Unreadable("the end of the receipt was changed");
    return out;
  }

  // readKey reads a verifier key (C2SP signed-note).
  function readKey(line) {
    const wrong = "the key in the receipt is not in its form";
    const [, name, id, code] = match("(\\S{1,256})\\+([0-9a-f]{8})\\+([A-Za-z0-9+/=]{44})", line, wrong);
    const typed = base64(code);
    if (typed.length !== 33 || typed[0] !== 1 || name.includes("+")) throw new Unreadable(wrong);
    if (hex(sha256(joined(utf8(name + "\n"), typed)).slice(0, 4)) !== id) throw new Unreadable(wrong);
    const key = typed.slice(1);
    return { line, name, id, key, fingerprint: hex(sha256(key)).match(/..../g).join(" ") };
  }

  // readProof reads a tlog-proof (C2SP) and the note in it.
  function readProof(proof) {
    const wrong = "the proof is not in the form of a tlog-proof";
    const cut = proof.indexOf("\n\n");
    const lines = proof.slice(0, cut).split("\n");
    if (cut < 0 || lines.length < 2 || lines.length > 65 || lines[0] !== "c2sp.org/tlog-proof@v1") throw new Unreadable(wrong);
    const index = Number(match("index (" + COUNT + ")", lines[1], wrong)[1]);
    const path = lines.slice(2).map((line) => base64(match("[A-Za-z0-9+/=]{44}", line, wrong)[0]));
    if (path.some((h) => h.length !== 32)) throw new Unreadable(wrong);
    return { index, path, ...readNote(proof.slice(cut + 2)) };
  }

  function readNote(note) {
    const wrong = "the signed part of the proof is not in its form";
    const cut = note.lastIndexOf("\n\n");
    if (cut < 0 || !note.endsWith("\n")) throw new Unreadable(wrong);
    const signatures = note.slice(cut + 2, -1).split("\n").map((line) => {
      const [, name, code] = match("— (\\S{1,256}) ([A-Za-z0-9+/=]{8,})", line, wrong);
      const bytes = base64(code);
      return { name, id: hex(bytes.slice(0, 4)), bytes: bytes.slice(4) };
    });
    const message = note.slice(0, cut + 1);
    const [, origin, size, root] = match("(\\S{1,256})\\n(" + COUNT + ")\\n([A-Za-z0-9+/=]{44})\\n", message, wrong);
    const tree = { origin, size: Number(size), root: base64(root) };
    if (tree.root.length !== 32) throw new Unreadable(wrong);
    return { message, signatures, tree };
  }

  // readHeader reads an entry's header.
  function readHeader(header) {
    const found = match("benchtag-journal 1\\nshop (" + ID + ")\\nstream (work_order|shop) (" + ID + ")\\nsequence ([1-9][0-9]{0,17})\\n" +
      "previous (" + HEX + ")\\ntime (\\d{4}-\\d\\d-\\d\\dT\\d\\d:\\d\\d:\\d\\d\\.\\d{6})Z\\n" +
      "actor (staff|tablet|customer_link|system) (" + ID + ")\\nevent (" + WORD + "\\." + WORD + ")\\n" +
      "subject (" + WORD + ") (" + ID + ") (" + COUNT + ")\\nbody (" + HEX + ")\\n", header, "the header of the entry is not in its form");
    if ((found[4] === "1") !== /^0+$/.test(found[5])) throw new Unreadable("the entry follows none, or is first and follows one");
    const moment = new Date(found[6].slice(0, 23) + "Z");
    if (isNaN(moment) || moment.toISOString().slice(0, 23) !== found[6].slice(0, 23)) throw new Unreadable("the time of the entry is none");
    return { shop: found[1], streamKind: found[2], stream: found[3], sequence: found[4], time: found[6].replace("T", " ") + " UTC",
      actorKind: found[7], actor: found[8], event: found[9], noun: found[10], subject: found[11], version: Number(found[12]), body: found[13] };
  }

  // readEvidence reads the open part of a body. It must be written as the
  // shop's program writes it, so that no two readers see two things in it.
  function readEvidence(body) {
    const found = match('\\{"v":2,"open":(\\{"consent_id":"(' + ID + ')","consent_version":(' + COUNT + '),"decision":"(' + WORD + ')"(,"revoked":true)?' +
      '(?:,"document_sha256":"(' + HEX + ')")?,"record_hmac":"(' + HEX + ')"\\}),"(?:sealed|plain)":([^]*)\\}', body, "the body of the entry records no answer");
    let whole = {};
    try { whole = JSON.parse(body); } catch { /* found to be wrong below */ }
    if (whole.sealed !== undefined) base64(whole.sealed);
    if (Object.keys(whole).length !== 3 || JSON.stringify(whole.open) !== found[1]) throw new Unreadable("the body of the entry is not in its one spelling");
    return { consent: found[2], version: Number(found[3]), decision: found[4], revoked: Boolean(found[5]), document: found[6] ?? "", record: found[7] };
  }

  // head writes the words at the beginning of a receipt.
  function head(r) {
    const folded = (groups) => groups.slice(0, 39) + "\n" + " ".repeat(18) + groups.slice(40);
    const shown = r.evidence.document ? folded(r.evidence.document.match(/..../g).join(" ")) : "no document; the answer was given without one";
    const lines = [
      ["Answer", r.evidence.decision + (r.evidence.revoked ? ", and taken back with this entry" : "")],
      ["Written down", r.header.time],
      ["Its number", r.evidence.consent],
      ["Journal", r.proof.tree.origin],
      ["Place in it", "entry " + (r.proof.index + 1) + " of " + r.proof.tree.size],
      ["What was shown", shown],
      ["Signer's key", folded(r.key.fingerprint)],
    ];
    return OPENING + lines.map(([name, value]) => "  " + name.padEnd(16) + value + "\n").join("") + CLOSING;
  }

  // parse reads a receipt and throws Unreadable where it is none.
  function parse(bytes) {
    if (bytes.length > MAX) throw new Unreadable("the file is too large to be a receipt");
    const raw = parts(toRaw(bytes));
    const salts = match("body (" + HEX + ")\\nrecord (" + HEX + ")\\n", raw.salts, "the salts of the receipt are not two lines, body and record");
    const r = {
      key: readKey(text(raw.key)), proof: readProof(text(raw.proof)), header: readHeader(text(raw.header)), evidence: readEvidence(text(raw.body)),
      bytes: { header: fromRaw(raw.header), body: fromRaw(raw.body), record: fromRaw(raw.record), document: fromRaw(raw.document) },
      salts: { body: fromHex(salts[1]), record: fromHex(salts[2]) },
    };
    if (head(r) !== text(raw.head)) throw new Unreadable("the words at the head of the file, or the way it is written, were changed");
    return r;
  }

  // ---- The links

  // shopOf gives the shop of a tree's name.
  const shopOf = (origin) => new RegExp("^benchtag/shop/(" + ID + ")(?:/[1-9][0-9]*)?$").exec(origin)?.[1] ?? null;

  // links lists what must fit, in the order in which each is looked at:
  // the name of the problem, the sentence for a person, and the test.
  const links = [
    ["more_signatures", "It bears one signature, its own key's", (r) => r.proof.signatures.length === 1],
    ["signature_mismatch", "The key signed this state of the journal", (r) => {
      const s = r.proof.signatures[0];
      return r.key.name === r.proof.tree.origin && s.name === r.key.name && s.id === r.key.id && signed(r.key.key, utf8(r.proof.message), s.bytes);
    }],
    ["not_in_tree", "The entry stands in the journal that was signed", (r) => {
      const { index, tree, path } = r.proof;
      const root = index < tree.size ? rootOf(leaf(r.bytes.header), index, tree.size, path) : null;
      return root !== null && same(root, tree.root);
    }],
    ["other_shop", "Entry and journal are of one shop", (r) => shopOf(r.proof.tree.origin) === r.header.shop],
    ["body_mismatch", "What the entry says fits the entry", (r) => hex(hmac(r.salts.body, r.bytes.body)) === r.header.body],
    ["subject_mismatch", "The entry is about this answer", (r) => r.header.subject === r.evidence.consent && r.header.version === r.evidence.version],
    ["record_mismatch", "The record of the answer fits the entry", (r) => hex(hmac(r.salts.record, r.bytes.record)) === r.evidence.record],
    ["document_mismatch", "The document is the one that was shown", (r) =>
      (r.evidence.document ? hex(sha256(r.bytes.document)) === r.evidence.document : r.bytes.document.length === 0)],
  ];

  // verify gives what was found: problem "" when the receipt is sound in
  // itself; compared when one of the keys given signed it; steps with
  // "fits", "differs" or "open" for each link.
  function verify(bytes, keys = []) {
    let r;
    try {
      r = parse(bytes);
    } catch (e) {
      if (!(e instanceof Unreadable)) throw e;
      return { problem: "unreadable", reason: e.message, compared: false, steps: [] };
    }
    let problem = "";
    const steps = links.map(([name, words, holds]) => {
      if (problem) return { words, state: "open" };
      if (holds(r)) return { words, state: "fits" };
      problem = name;
      return { words, state: "differs" };
    });
    // A key signs in the name of a shop's tree, which changes when a broken
    // history is gone on with: the key and the shop count.
    const compared = keys.some((k) => same(k.key, r.key.key) && shopOf(k.name) === shopOf(r.key.name));
    if (!problem && keys.length > 0 && !compared) problem = "other_signer";
    return { problem, compared: compared && !problem, steps, receipt: r };
  }

  // keysOf reads keys as a person copies them, one a line.
  function keysOf(lines) {
    return lines.split("\n").map((l) => l.trim()).filter((l) => l && !l.startsWith("#")).map(readKey);
  }

  // ---- Records and documents, to be read

  // readJSON reads JSON as it is written: pairs keep their order and are kept
  // twice where they stand twice, numbers keep their digits.
  function readJSON(source) {
    let at = 0;
    const fail = () => { throw new Unreadable("this is no JSON"); };
    const blank = () => { while (" \t\r\n".includes(source[at] ?? "x")) at++; };
    const take = (pattern) => {
      pattern.lastIndex = at;
      const found = pattern.exec(source);
      if (!found) fail();
      at = pattern.lastIndex;
      return found[0];
    };
    const string = () => {
      try { return JSON.parse(take(/"(?:[^"\\]|\\.)*"/y)); } catch { return fail(); }
    };
    const list = (close, item) => {
      const out = [];
      at++;
      for (blank(); source[at] !== close; blank()) {
        if (out.length > 0) { take(/,/y); blank(); }
        out.push(item());
        blank();
        if (source[at] !== close && source[at] !== ",") fail();
      }
      at++;
      return out;
    };
    const value = (depth) => {
      if (depth > 32) fail();
      blank();
      switch (source[at]) {
        case "{": return { pairs: list("}", () => { blank(); const key = string(); blank(); take(/:/y); return [key, value(depth + 1)]; }) };
        case "[": return { items: list("]", () => value(depth + 1)) };
        case '"': return { words: string() };
        default: return { plain: take(/true|false|null|-?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?/y) };
      }
    };
    const out = value(0);
    blank();
    if (at !== source.length) fail();
    return out;
  }

  return { sha256, sha512, hmac, leaf, node, rootOf, signed, verify, keysOf, readJSON, text: (bytes) => text(toRaw(bytes)), hex, fromHex, utf8 };
})();
