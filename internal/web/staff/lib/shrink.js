// Makes a photo small enough to send over a workshop's Wi-Fi: upright, its long
// edge at most 2048 pixels, JPEG. The bytes are kept, never a handle to a file
// that may go away.

const edge = 2048;
const quality = 0.8;

/** A file that is no picture this browser can read. */
export class NoPicture extends Error {
  /** @param {boolean} heic */
  constructor(heic) { super("no picture"); this.heic = heic; }
}

/** @param {Blob & { name?: string }} file @returns {Promise<{ bytes: ArrayBuffer, type: string, width: number, height: number }>} */
export async function shrink(file) {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    throw new NoPicture(/hei[cf]/i.test(`${file.type} ${file.name ?? ""}`));
  }
  const scale = Math.min(1, edge / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [Math.max(1, Math.round(picture.width * scale)), Math.max(1, Math.round(picture.height * scale))];
  const brush = canvas.getContext("2d");
  if (!brush) throw new NoPicture(false);
  brush.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((/** @type {(blob: Blob | null) => void} */ resolve) => { canvas.toBlob(resolve, "image/jpeg", quality); });
  if (!blob) throw new NoPicture(false);
  const made = { bytes: await blob.arrayBuffer(), type: "image/jpeg", width: canvas.width, height: canvas.height };
  canvas.width = canvas.height = 0; // frees the pixels at once on tablets that are short of memory
  return made;
}
