// Runs the checking part of the page outside a browser: the page's file is
// the argument, cases come as JSON on standard input, results go out as JSON.
"use strict";
const fs = require("node:fs"), vm = require("node:vm");
const page = fs.readFileSync(process.argv[2], "utf8");
const script = /<script>([^]*)<\/script>/.exec(page)[1];
const checking = script.slice(0, script.indexOf("// The page around receiptCheck"));
vm.runInThisContext(checking + ";globalThis.receiptCheck = receiptCheck;");
const c = receiptCheck;
const bytes = (text) => Uint8Array.from(Buffer.from(text ?? "", "base64"));
const does = {
  sha256: ([m]) => c.hex(c.sha256(m)),
  sha512: ([m]) => c.hex(c.sha512(m)),
  hmac: ([k, m]) => c.hex(c.hmac(k, m)),
  signed: ([k, m, s]) => String(c.signed(k, m, s)),
  leaf: ([m]) => c.hex(c.leaf(m)),
  root: ([leaf, ...path], { index, size }) => { const r = c.rootOf(leaf, index, size, path); return r ? c.hex(r) : "none"; },
  verify: ([receipt, ...keys]) => {
    const v = c.verify(receipt, c.keysOf(keys.map((k) => Buffer.from(k).toString()).join("\n")));
    return (v.problem || "sound") + (v.compared ? ", compared" : "");
  },
  json: ([m]) => { try { return JSON.stringify(c.readJSON(c.text(m))); } catch { return "refused"; } },
};
const cases = JSON.parse(fs.readFileSync(0, "utf8"));
process.stdout.write(JSON.stringify(cases.map((one) => does[one.do]((one.in ?? []).map(bytes), one))));
