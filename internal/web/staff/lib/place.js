// Where the app stands: the address bar, as a live value. Screens are named by
// their path below /s, so that a page can be kept, sent and gone back to.
import { signal } from "../kit/view.js";

const root = "/s";

/** The path below the app's root, without a slash at the end. */
export const place = signal(read());

function read() {
  return location.pathname.slice(root.length).replace(/\/+$/, "") || "/floor";
}

addEventListener("popstate", () => { place.value = read(); });

/** Writes the address of a screen. @param {string} path */
export const at = (path) => root + path;

/** Goes to a screen. @param {string} path */
export function go(path) {
  history.pushState(null, "", at(path));
  place.value = read();
  scrollTo(0, 0);
}

/** Makes a link of the app go without loading a page, unless the person asked
 * for a new window. @param {MouseEvent} event */
export function follow(event) {
  const link = /** @type {Element} */ (event.target).closest("a[href]");
  if (!(link instanceof HTMLAnchorElement) || event.defaultPrevented || event.button || event.metaKey || event.ctrlKey || event.shiftKey) return;
  if (link.origin !== location.origin || !link.pathname.startsWith(root + "/") || link.target) return;
  event.preventDefault();
  go(link.pathname.slice(root.length));
}
