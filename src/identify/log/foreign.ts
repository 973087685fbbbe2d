/** Files that are no text, by their first bytes, and what to do about them. Signatures as the formats' own documents give them. */

const SIGNATURES: readonly (readonly [readonly number[], string])[] = [
  [[0x1f, 0x8b], 'is packed by gzip: unpack it first'],
  [[0x42, 0x5a, 0x68], 'is packed by bzip2: unpack it first'],
  [[0xfd, 0x37, 0x7a, 0x58, 0x5a], 'is packed by xz: unpack it first'],
  [[0x28, 0xb5, 0x2f, 0xfd], 'is packed by zstd: unpack it first'],
  [[0x37, 0x7a, 0xbc, 0xaf], 'is a 7z archive: unpack it first'],
  [[0x50, 0x4b, 0x03, 0x04], 'is a zip archive, as a spreadsheet is: unpack it, or save the sheet as CSV'],
  [[0xd0, 0xcf, 0x11, 0xe0], 'is a spreadsheet or document in an old binary form: save the sheet as CSV'],
  [[0x89, 0x48, 0x44, 0x46], 'is an HDF5 file: export the channels as CSV'],
  [[0x4d, 0x44, 0x46, 0x20], 'is a binary recording (MDF): export the channels as CSV'],
  [[0x53, 0x51, 0x4c, 0x69, 0x74, 0x65], 'is a database: export the readings as CSV'],
  [[0x89, 0x50, 0x4e, 0x47], 'is a picture: the log itself is wanted, as CSV'],
  [[0xff, 0xd8, 0xff], 'is a picture: the log itself is wanted, as CSV'],
  [[0x47, 0x49, 0x46, 0x38], 'is a picture: the log itself is wanted, as CSV'],
  [[0x25, 0x50, 0x44, 0x46], 'is a PDF: the log itself is wanted, as CSV'],
];

/** What a file is that is no text, and what to do; null where its first bytes say nothing of the kind. */
export const foreignKind = (bytes: Uint8Array): string | null => SIGNATURES.find(([signature]) => signature.every((b, k) => bytes[k] === b))?.[1] ?? null;

const LOOKED_AT = 512;

/** UTF-16 by its byte-order mark, or by the zero bytes that plain letters and digits have in it; null for another encoding. */
export function wideOrder(bytes: Uint8Array): 'utf-16le' | 'utf-16be' | null {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return 'utf-16le';
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return 'utf-16be';
  const pairs = Math.min(LOOKED_AT, bytes.length) >> 1;
  const zeros = [0, 0];
  for (let k = 0; k < 2 * pairs; k++) if (bytes[k] === 0) zeros[k & 1] = (zeros[k & 1] as number) + 1;
  const [high, low] = zeros as [number, number];
  if (pairs < 2 || Math.max(high, low) < 0.8 * pairs || Math.min(high, low) > 0.1 * pairs) return null;
  return low > high ? 'utf-16le' : 'utf-16be';
}

/** What a text is that begins like no table; null for any other. */
export function textKind(line: string): string | null {
  const text = line.trimStart();
  if (/^<(?:!doctype|html|\?xml|[a-z]+[ >])/i.test(text)) return 'is a page or XML, no table: export the log as CSV';
  if (/^[[{]\s*(?:["'[{]|$)/.test(text)) return 'is JSON, no table: export the log as CSV';
  return null;
}
