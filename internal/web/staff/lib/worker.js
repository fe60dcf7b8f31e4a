// Has the browser keep the app's own files. Only one address may become a
// script this way, and nothing else in the app can make one.

const place = "/s/worker.js";

/** Registers the worker; without one (plain HTTP on a LAN) the app needs the
 * server to start. @returns {Promise<boolean>} whether it will start without the server */
export async function keepShell() {
  if (!("serviceWorker" in navigator)) return false;
  const types = /** @type {any} */ (globalThis).trustedTypes;
  const policy = types?.createPolicy("benchtag-worker", { createScriptURL: (/** @type {string} */ url) => {
    if (url !== place) throw new TypeError("not the worker");
    return url;
  } });
  try {
    await navigator.serviceWorker.register(policy ? policy.createScriptURL(place) : place, { scope: "/s/", updateViaCache: "none" });
    return true;
  } catch {
    return false;
  }
}
