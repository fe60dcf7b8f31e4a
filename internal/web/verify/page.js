// The page around receiptCheck: takes the file and the keys, says what was found.
(() => {
  const by = (id) => document.getElementById(id);
  const result = by("result"), keys = by("keys"), file = by("file"), drop = by("drop");
  let current = null; // the bytes looked at

  function make(name, attributes = {}, ...children) {
    const el = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) el.setAttribute(key, value);
    el.append(...children);
    return el;
  }

  function sign(path) {
    const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    svg.setAttribute("viewBox", "0 0 24 24");
    svg.setAttribute("aria-hidden", "true");
    const line = document.createElementNS("http://www.w3.org/2000/svg", "path");
    line.setAttribute("d", path);
    svg.append(line);
    return svg;
  }
  const signs = { holds: "M3 13l6 6L21 5", open: "M12 4v10M12 19v.5", broken: "M5 5l14 14M19 5L5 19" };

  const details = {
    unreadable: "The file cannot be read as a receipt: ",
    more_signatures: "It bears a signature that nothing in it vouches for.",
    signature_mismatch: "The signature does not hold: what was signed is something else, or another key signed it.",
    not_in_tree: "The entry does not stand in the journal that was signed: the entry or the proof was changed.",
    other_shop: "The entry belongs to another shop’s journal than the one that was signed.",
    body_mismatch: "What the entry says does not fit the entry: it was changed.",
    subject_mismatch: "The entry is about another answer than the one named.",
    record_mismatch: "The record of the answer was changed: it does not fit the journal.",
    document_mismatch: "The document is not the one that was shown: it was changed or swapped.",
    other_signer: "The receipt is unchanged, but it is signed by another key than the one you gave. It is not this shop’s, or it is from before the shop changed its key: ask the shop, by phone.",
  };

  function verdict(kind, title, ...children) {
    const heading = make("h2", { tabindex: "-1", id: "verdict" }, sign(signs[kind]), make("span", {}, title));
    return make("section", { class: "verdict " + kind, "aria-labelledby": "verdict" }, heading, ...children);
  }

  const para = (...children) => make("p", {}, ...children);
  const groups = (fingerprint) => make("p", { class: "key" }, ...fingerprint.split(" ").flatMap((g) => [make("span", {}, g), " "]));

  function opening(found) {
    switch (found.problem) {
      case "":
        if (found.compared) {
          return verdict("holds", "This receipt holds", para("Nothing in it was changed, and the key you gave signed it."));
        }
        return verdict("open", "Unchanged – now compare the key",
          para("Nothing in this receipt was changed since it was signed. One question is left, and no program can answer it: is this the shop’s key?"),
          groups(found.receipt.key.fingerprint),
          para("Compare these sixteen groups with the ones on the shop’s printed papers, or call the shop by a number you know and have them read out. If they are the same, the receipt holds. If not, it is somebody else’s."));
      case "unreadable":
        return verdict("broken", "This is no sound receipt", para(details.unreadable + found.reason + ". Nothing in the file can be relied on."));
      case "other_signer":
        return verdict("broken", "Signed by another key", para(details.other_signer), para("The key that signed it:"), groups(found.receipt.key.fingerprint));
      default:
        return verdict("broken", "This receipt does not hold", para(details[found.problem]), para("Nothing in the file can be relied on."));
    }
  }

  function stepsOf(found) {
    const words = { fits: "fits", differs: "does not fit", open: "not looked at" };
    return make("ol", { class: "steps" }, ...found.steps.map((s) => make("li", {}, make("span", {}, s.words), make("b", {}, words[s.state]))));
  }

  // ---- Records and documents in words

  const names = {
    price_until: "The price holds until", not_looked_because: "Not looked at, because", may_ride: "May it be ridden", ride_note: "On riding it",
    earliest_on: "Ready at the earliest", sha256: "SHA-256", shown_sha256: "Document shown, SHA-256", ip: "Network address", user_agent: "Browser",
    gross: "Total with tax", net: "Total without tax", high: "At most", low: "At least", gross_minor: "Total with tax", net_minor: "Total without tax",
  };
  const named = (key) => names[key] ?? (key.charAt(0).toUpperCase() + key.slice(1)).replace(/_minor$/, "").replace(/_/g, " ");

  let offered = ""; // the document of the receipt that is shown

  // decimals gives how many digits a currency has after the point.
  function decimals(currency) {
    try { return new Intl.NumberFormat("en", { style: "currency", currency }).resolvedOptions().maximumFractionDigits; } catch { return 2; }
  }

  function amount(digits, currency) {
    const places = decimals(currency);
    const all = digits.replace("-", "").padStart(places + 1, "0");
    return (digits.startsWith("-") ? "−" : "") + (places ? all.slice(0, -places) + "." + all.slice(-places) : all) + " " + currency;
  }

  const find = (value, key) => value.pairs?.find(([k]) => k === key)?.[1];

  function shown(value, key, currency) {
    if (value.words !== undefined) return value.words.trim() ? make("span", { dir: "auto" }, value.words) : "–";
    if (value.plain !== undefined) {
      if (key.endsWith("_minor") && currency && /^-?\d+$/.test(value.plain)) return amount(value.plain, currency);
      return { true: "yes", false: "no", null: "–" }[value.plain] ?? value.plain;
    }
    if (value.items) {
      if (value.items.length === 0) return "–";
      return make("ol", { class: "items" }, ...value.items.map((item) => make("li", {}, shown(item, "", currency))));
    }
    const sum = find(value, "amount")?.words, of = find(value, "currency")?.words;
    if (value.pairs.length === 2 && sum && of) return sum + " " + of;
    if (value.pairs.length === 0) return "–";
    return make("dl", { class: "said-so" }, ...value.pairs.map(([k, v]) => row(k, v, of ?? currency)));
  }

  // row shows one name and value; a short value stands beside its name, a rule
  // of law and the like wait to be opened.
  function row(key, value, currency) {
    if (key === "document" && value.words === offered) value = { words: "the one below, letter by letter" };
    const short = value.words !== undefined || value.plain !== undefined || find(value, "amount") !== undefined;
    const name = make("dt", { dir: "auto" }, named(key));
    if (key !== "rule" || short) return make("div", short ? { class: "short" } : {}, name, make("dd", {}, shown(value, key, currency)));
    return make("div", {}, name, make("dd", {}, make("details", {}, make("summary", {}, "Show it"), shown(value, key, currency))));
  }

  function readable(bytes) {
    const text = receiptCheck.text(bytes);
    const exact = make("details", {}, make("summary", {}, "Letter by letter"), make("pre", { dir: "auto" }, text));
    try {
      const value = receiptCheck.readJSON(text);
      return [shown(value, "", find(value, "currency")?.words), exact];
    } catch {
      return [make("pre", { dir: "auto" }, text)];
    }
  }

  const facts = (rows) => make("dl", { class: "said-so" }, ...rows.map(([name, ...value]) =>
    make("div", { class: "short" }, make("dt", {}, name), make("dd", {}, ...value))));

  const actors = { customer_link: "whoever held the customer’s link", staff: "the shop’s staff", tablet: "the shop’s tablet", system: "the program" };

  function contents(found) {
    const r = found.receipt;
    offered = receiptCheck.text(r.bytes.document);
    const out = [
      make("h2", {}, "The answer"),
      facts([
        ["Answer", r.evidence.decision + (r.evidence.revoked ? ", and taken back with this entry" : "")],
        ["Written into the journal", r.header.time + ", by the shop’s clock"],
        ["By", actors[r.header.actorKind] + " (" + r.header.actor + ")"],
        ["Number of the answer", r.evidence.consent],
      ]),
      make("h3", {}, "What was written down of it"), ...readable(r.bytes.record),
      make("h2", {}, "What was shown"),
    ];
    if (r.bytes.document.length > 0) out.push(...readable(r.bytes.document)); else out.push(para("No document; the answer was given without one."));
    return out;
  }

  function proofOf(found) {
    const r = found.receipt;
    return [
      make("h2", {}, "What was checked"), stepsOf(found),
      facts([
        ["Journal", r.proof.tree.origin],
        ["Place in it", "entry " + (r.proof.index + 1) + " of the " + r.proof.tree.size + " that were signed"],
        ["Work order’s journal", r.header.stream + ", entry " + r.header.sequence],
        ["Key that signed", r.key.line],
        ["Its fingerprint", r.key.fingerprint],
      ]),
    ];
  }

  function readKeys() {
    const wrong = by("keys-wrong");
    try {
      const found = receiptCheck.keysOf(keys.value);
      wrong.hidden = true;
      keys.removeAttribute("aria-invalid");
      return found;
    } catch {
      wrong.textContent = "This is not a whole key. Copy the whole line; it begins with benchtag/shop/. Until then the receipt is checked without it.";
      wrong.hidden = false;
      keys.setAttribute("aria-invalid", "true");
      return [];
    }
  }

  function look(focus) {
    const known = readKeys();
    if (!current) return;
    const found = receiptCheck.verify(current, known);
    result.replaceChildren(opening(found));
    if (found.receipt) {
      const unchanged = found.problem === "" || found.problem === "other_signer";
      if (unchanged) result.append(...contents(found));
      result.append(...proofOf(found));
    }
    if (focus) by("verdict").focus();
  }

  async function take(chosen) {
    if (!chosen) return;
    try {
      if (chosen.size > 16 << 20) throw new Error("too large");
      current = new Uint8Array(await chosen.arrayBuffer());
      look(true);
    } catch {
      current = null;
      result.replaceChildren(verdict("broken", "This file cannot be opened", para("Choose the receipt itself, as the shop gave it to you.")));
      by("verdict").focus();
    }
  }

  by("form").hidden = false;
  by("form").addEventListener("submit", (e) => e.preventDefault());
  file.addEventListener("change", () => take(file.files[0]));
  keys.addEventListener("input", () => look(false));
  for (const name of ["dragenter", "dragover"]) {
    document.addEventListener(name, (e) => { e.preventDefault(); drop.classList.add("over"); });
  }
  document.addEventListener("dragleave", () => drop.classList.remove("over"));
  document.addEventListener("drop", (e) => {
    e.preventDefault();
    drop.classList.remove("over");
    take(e.dataTransfer?.files[0]);
  });
  if (location.protocol.startsWith("http")) {
    by("save-link").href = location.pathname;
    by("save").hidden = false;
  }
})();
