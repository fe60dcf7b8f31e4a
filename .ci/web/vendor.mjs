// Copies the few libraries that the staff app uses into the tree that the
// program embeds, with relative imports instead of bare names, and writes
// their checksums. With --check it compares and changes nothing.
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";

const from = (path) => fileURLToPath(new URL(`node_modules/${path}`, import.meta.url));
const to = (name) => fileURLToPath(new URL(`../../internal/web/staff/vendor/${name}`, import.meta.url));

const files = {
  "preact.js": "preact/dist/preact.mjs",
  "hooks.js": "preact/hooks/dist/hooks.mjs",
  "signals-core.js": "@preact/signals-core/dist/signals-core.module.js",
  "signals.js": "@preact/signals/dist/signals.module.js",
};
const names = {
  "preact": "./preact.js",
  "preact/hooks": "./hooks.js",
  "@preact/signals-core": "./signals-core.js",
};
const licences = ["preact/LICENSE", "@preact/signals/LICENSE", "@preact/signals-core/LICENSE"];

/** Gives a library's text as the app holds it. */
function adapted(path) {
  const text = readFileSync(from(path), "utf8").replace(/\n?\/\/# sourceMappingURL=.*\n?$/, "\n");
  return text.replace(/((?:from|import)\s*)"([^"./][^"]*)"/g, (_, word, name) => {
    if (!names[name]) throw new Error(`${path} imports ${name}, which has no place in the tree`);
    return `${word}"${names[name]}"`;
  });
}

const made = Object.fromEntries(Object.entries(files).map(([name, path]) => [name, adapted(path)]));
made["LICENCES.txt"] = licences.map((path) => `${path}\n\n${readFileSync(from(path), "utf8")}`).join("\n----\n\n");
made["SUMS"] = Object.entries(made)
  .map(([name, text]) => `${createHash("sha256").update(text).digest("hex")}  ${name}\n`)
  .join("");

const check = process.argv.includes("--check");
for (const [name, text] of Object.entries(made)) {
  if (!check) writeFileSync(to(name), text);
  else if (readFileSync(to(name), "utf8") !== text) {
    console.error(`internal/web/staff/vendor/${name} is not what .ci/web/package.json names; run node .ci/web/vendor.mjs`);
    process.exitCode = 1;
  }
}
