const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let remainder = byte;
  for (let bit = 0; bit < 8; bit++) remainder = remainder & 1 ? (remainder >>> 1) ^ 0xedb88320 : remainder >>> 1;
  return remainder;
});

/** Check sum of zip files. Source: ITU-T V.42 (03/2002), 8.1.1.6.2, bits reversed. crc32("123456789") is 0xcbf43926. */
export function crc32(bytes: Uint8Array): number {
  let remainder = 0xffffffff;
  for (const byte of bytes) remainder = (remainder >>> 8) ^ (TABLE[(remainder ^ byte) & 255] as number);
  return (remainder ^ 0xffffffff) >>> 0;
}
