// A uuid is made on the device, so that an entry has its name before the club knows it.

/** Return a random uuid (version 4), on plain HTTP in a club's own network too. */
export function newUuid(source = globalThis.crypto) {
  if (typeof source.randomUUID === "function") {
    return source.randomUUID();
  }
  const bytes = source.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
