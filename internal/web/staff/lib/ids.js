// Ids of records that are made here, so that what is sent twice is one thing.

let last = 0n;

/** Gives a fresh UUIDv7 (RFC 9562), later than every one before of this page.
 * @param {number} [now] milliseconds since 1970 */
export function newId(now = Date.now()) {
  const noise = crypto.getRandomValues(new Uint8Array(10));
  let tail = 0n;
  for (const byte of noise) tail = (tail << 8n) | BigInt(byte);
  // 48 bits of time, then 74 random ones; the version and variant go between.
  let value = (BigInt(now) << 74n) | (tail & ((1n << 74n) - 1n));
  if (value <= last) value = last + 1n;
  last = value;
  const low = value & ((1n << 62n) - 1n);
  const middle = (value >> 62n) & 0xfffn;
  const whole = ((value >> 74n) << 80n) | (7n << 76n) | (middle << 64n) | (2n << 62n) | low;
  const hex = whole.toString(16).padStart(32, "0");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
