// A picture whose bytes come from somewhere that an <img> cannot name: the API
// with its token, or this tablet's own store.
import { el, useEffect, useSignal } from "./view.js";
import { w } from "../words/words.js";

/** @param {{ key?: string, of: string, load: () => Promise<Blob | null>, says: string }} props `of` names the picture: another one loads anew */
export function Picture({ of, load, says }) {
  const url = useSignal("");
  const gone = useSignal(false);
  useEffect(() => {
    let open = true;
    let mine = "";
    [url.value, gone.value] = ["", false];
    load().then((blob) => {
      if (!open) return;
      if (blob) url.value = mine = URL.createObjectURL(blob);
      else gone.value = true;
    }, () => { if (open) gone.value = true; });
    return () => { open = false; if (mine) URL.revokeObjectURL(mine); };
  }, [of]);
  if (gone.value) return el.span({ class: "picture no-data" }, w.trouble.noData);
  return url.value ? el.img({ class: "picture", src: url.value, alt: says }) : el.span({ class: "picture" }, "…");
}
