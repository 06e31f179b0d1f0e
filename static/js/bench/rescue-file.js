// The queue as a file, for a tablet that never finds the server again. Its checksum shows damage on the way; a CRC-32,
// because on plain http a browser has no other sum to give. (ISO 3309, the polynomial of zip and gzip.)

import { asSent } from "./entries.js";

const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let rest = byte;
  for (let bit = 0; bit < 8; bit += 1) rest = rest & 1 ? (rest >>> 1) ^ 0xedb88320 : rest >>> 1;
  return rest;
});

export function crc32(text) {
  const rest = new TextEncoder().encode(text).reduce((sum, byte) => TABLE[(sum ^ byte) & 0xff] ^ (sum >>> 8), 0xffffffff);
  return ((rest ^ 0xffffffff) >>> 0).toString(16).padStart(8, "0");
}

export function fileOf(kept, now = new Date()) {
  const entries = JSON.stringify(kept.map(asSent));
  return JSON.stringify({ version: 1, made_at: now.toISOString(), count: kept.length, crc32: crc32(entries), entries });
}

export function download(kept) {
  const now = new Date();
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([fileOf(kept, now)], { type: "application/json" }));
  link.download = `unsent-fruit-${now.toISOString().slice(0, 16).replace(/[:T]/g, "-")}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
