// Keeps the app's own files, so that it starts without the network. Nothing
// else is kept here: no answer of the API, no picture, no page of a customer.
// The server puts the name of the release and its files in front of this.
/* global release, files */

const shell = `shell-${release}`;
const page = "/s/";

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(shell).then((kept) => kept.addAll([page, ...files.map((name) => `/a/${release}/${name}`)].map((url) => new Request(url, { cache: "reload" })))).then(() => self.skipWaiting()));
});

// A window of the release before may still ask for its files: that one stays, older ones go.
self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys().then((names) => {
    const shells = names.filter((name) => name.startsWith("shell-") && name !== shell);
    return Promise.all(shells.slice(0, -1).map((name) => caches.delete(name)));
  }).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (event.request.mode === "navigate" && url.pathname.startsWith(page)) {
    event.respondWith(caches.open(shell).then((kept) => kept.match(page)).then((kept) => kept ?? fetch(event.request)));
  } else if (url.pathname.startsWith("/a/")) {
    event.respondWith(caches.match(url.pathname).then((kept) => kept ?? fetch(event.request)));
  }
});
