/** From the bytes of a file to the bytes of its text: encoding found, marks taken off, what is no text refused. */
import type { Dialect, LogProblem } from './types.ts';

/** Text as bytes that hold every ASCII character as itself (UTF-8 or Latin-1), ready for the byte-level reader. */
export interface TextBytes {
  readonly ok: true;
  readonly encoding: Dialect['encoding'];
  readonly bytes: Uint8Array;
  /** Bytes before the first character that belong to a mark. */
  readonly start: number;
}

export interface DecodeFailure {
  readonly ok: false;
  readonly problem: LogProblem;
}

const HEAD_BYTES = 1 << 16;

/** First bytes of files that people mistake for text. Sources: the formats' own specifications (PNG, JPEG, ZIP, gzip, PDF). */
const SIGNATURES: readonly { readonly bytes: readonly number[]; readonly is: string; readonly next: string }[] = [
  { bytes: [0x89, 0x50, 0x4e, 0x47], is: 'a PNG picture', next: 'export the log itself as delimited text' },
  { bytes: [0xff, 0xd8, 0xff], is: 'a JPEG picture', next: 'export the log itself as delimited text' },
  { bytes: [0x47, 0x49, 0x46, 0x38], is: 'a GIF picture', next: 'export the log itself as delimited text' },
  {
    bytes: [0x50, 0x4b, 0x03, 0x04],
    is: 'a ZIP archive or a spreadsheet',
    next: 'unpack it, or save the sheet as CSV',
  },
  { bytes: [0xd0, 0xcf, 0x11, 0xe0], is: 'an old spreadsheet or document', next: 'save the sheet as CSV' },
  { bytes: [0x1f, 0x8b], is: 'a gzip archive', next: 'unpack it first' },
  { bytes: [0x25, 0x50, 0x44, 0x46], is: 'a PDF document', next: 'export the log itself as delimited text' },
];

const refuse = (code: LogProblem['code'], says: string): DecodeFailure => ({ ok: false, problem: { code, says } });

/** UTF-16 without a mark shows as a zero in nearly every second byte. Returns null when the head does not look like it. */
const unmarkedUtf16 = (bytes: Uint8Array): 'utf-16le' | 'utf-16be' | null => {
  const size = Math.min(bytes.length, 4096) & ~1;
  if (size < 4) return null;
  let evenZeros = 0;
  let oddZeros = 0;
  for (let i = 0; i < size; i += 2) {
    if (bytes[i] === 0) evenZeros++;
    if (bytes[i + 1] === 0) oddZeros++;
  }
  const half = size / 2;
  if (oddZeros > 0.8 * half && evenZeros < 0.05 * half) return 'utf-16le';
  if (evenZeros > 0.8 * half && oddZeros < 0.05 * half) return 'utf-16be';
  return null;
};

/** UTF-16 code units as UTF-8 bytes; a lone surrogate becomes U+FFFD, an odd last byte is left out. */
const utf16ToUtf8 = (bytes: Uint8Array, start: number, littleEndian: boolean): Uint8Array => {
  const low = littleEndian ? 0 : 1;
  const end = start + ((bytes.length - start) & ~1);
  let size = 0;
  for (let i = start; i < end; i += 2) {
    const unit = bytes[i + low]! | (bytes[i + 1 - low]! << 8);
    size += unit < 0x80 ? 1 : unit < 0x800 ? 2 : 3;
  }
  const out = new Uint8Array(size);
  let at = 0;
  for (let i = start; i < end; i += 2) {
    let code = bytes[i + low]! | (bytes[i + 1 - low]! << 8);
    if (code < 0x80) {
      out[at++] = code;
      continue;
    }
    if (code >= 0xd800 && code < 0xe000) {
      const next = i + 2 < end ? bytes[i + 2 + low]! | (bytes[i + 3 - low]! << 8) : 0;
      if (code < 0xdc00 && next >= 0xdc00 && next < 0xe000) {
        code = 0x10000 + ((code - 0xd800) << 10) + (next - 0xdc00);
        i += 2;
        out[at++] = 0xf0 | (code >> 18);
        out[at++] = 0x80 | ((code >> 12) & 0x3f);
        out[at++] = 0x80 | ((code >> 6) & 0x3f);
        out[at++] = 0x80 | (code & 0x3f);
        continue;
      }
      code = 0xfffd;
    }
    if (code < 0x800) {
      out[at++] = 0xc0 | (code >> 6);
    } else {
      out[at++] = 0xe0 | (code >> 12);
      out[at++] = 0x80 | ((code >> 6) & 0x3f);
    }
    out[at++] = 0x80 | (code & 0x3f);
  }
  return out.subarray(0, at);
};

/** True when the head of the file is valid UTF-8 (RFC 3629); the last, possibly cut character does not count. */
const isUtf8 = (bytes: Uint8Array, start: number): boolean => {
  let end = Math.min(bytes.length, start + HEAD_BYTES * 4);
  if (end < bytes.length) {
    // Step back over a character that the cut may have split.
    while (end > start && (bytes[end]! & 0xc0) === 0x80) end--;
  }
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes.subarray(start, end));
    return true;
  } catch {
    return false;
  }
};

/** Share of bytes in the head that no text holds: control characters other than tab, line feed, carriage return, form feed, escape, end of file. */
const controlShare = (bytes: Uint8Array, start: number): number => {
  const end = Math.min(bytes.length, start + HEAD_BYTES);
  let odd = 0;
  for (let i = start; i < end; i++) {
    const byte = bytes[i]!;
    if (byte < 0x20 && byte !== 9 && byte !== 10 && byte !== 13 && byte !== 12 && byte !== 26 && byte !== 27) odd++;
  }
  return end > start ? odd / (end - start) : 0;
};

/** A decoder for cells of the text that {@link textBytesOf} gave. Latin-1 is read as Windows-1252, its superset in practice (WHATWG Encoding Standard). */
export const decoderFor = (encoding: Dialect['encoding']): TextDecoder =>
  new TextDecoder(encoding === 'latin-1' ? 'windows-1252' : 'utf-8', { ignoreBOM: false });

/**
 * The text of a file as ASCII-compatible bytes with its encoding, or why it is no text. UTF-8 and UTF-16 with or
 * without a byte-order mark, else Latin-1 (Windows-1252).
 */
export const textBytesOf = (bytes: Uint8Array): TextBytes | DecodeFailure => {
  if (bytes.length === 0) return refuse('empty-file', 'The file is empty; export it again.');
  for (const { bytes: signature, is, next } of SIGNATURES) {
    if (signature.every((byte, i) => bytes[i] === byte)) {
      return refuse('not-text', `The file is ${is}, not a text of numbers; ${next}.`);
    }
  }
  const mark16 =
    bytes[0] === 0xff && bytes[1] === 0xfe ? 'utf-16le' : bytes[0] === 0xfe && bytes[1] === 0xff ? 'utf-16be' : null;
  const utf16 = mark16 ?? unmarkedUtf16(bytes);
  let text: TextBytes;
  if (utf16) {
    const utf8 = utf16ToUtf8(bytes, mark16 ? 2 : 0, utf16 === 'utf-16le');
    text = { ok: true, encoding: utf16, bytes: utf8, start: 0 };
  } else {
    const start = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
    text = { ok: true, encoding: start > 0 || isUtf8(bytes, start) ? 'utf-8' : 'latin-1', bytes, start };
  }
  if (controlShare(text.bytes, text.start) > 0.002) {
    return refuse('not-text', 'The file is binary, not a text of numbers; export the log as delimited text (CSV).');
  }
  let blank = true;
  for (let i = text.start; blank && i < text.bytes.length; i++) blank = text.bytes[i]! <= 0x20;
  if (blank) return refuse('empty-file', 'The file holds only blank lines; export it again.');
  return text;
};
