/** Files that are never changed: written aside, forced to the disk, then renamed to the name of their content. */
import { createHash, randomUUID } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { dirname, join } from 'node:path';

/** Lower-case hexadecimal SHA-256 (FIPS 180-4) of bytes. */
export const sha256Of = (bytes: Uint8Array | string): string => createHash('sha256').update(bytes).digest('hex');

/** Folders inside a garage. */
export const ORIGINALS = 'originals';
export const SAMPLES = 'samples';
const ASIDE = 'aside';

/** Makes the folders of a garage where they are missing. */
export const makeFolders = (garage: string): void => {
  for (const name of [ORIGINALS, SAMPLES, ASIDE]) mkdirSync(join(garage, name), { recursive: true });
};

/** A name for a file that is still being written. */
export const asidePath = (garage: string): string => join(garage, ASIDE, randomUUID());

const forceFolder = (folder: string): void => {
  // Windows cannot open a folder to force it; a rename is durable there without.
  if (process.platform === 'win32') return;
  const handle = openSync(folder, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
};

/** Forces a finished file to the disk and gives it its final name; when that name is taken the content is the same and the copy goes. */
export const settle = (aside: string, finalPath: string): void => {
  const handle = openSync(aside, 'r+');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
  if (existsSync(finalPath)) rmSync(aside);
  else renameSync(aside, finalPath);
  forceFolder(dirname(finalPath));
};

/** Writes bytes under the name of their content and returns that name; after this returns, a power cut does not lose them. */
export const keepBytes = (garage: string, kind: typeof ORIGINALS, bytes: Uint8Array): string => {
  const name = sha256Of(bytes);
  const finalPath = join(garage, kind, name);
  if (existsSync(finalPath) && statSync(finalPath).size === bytes.byteLength) return name;
  const aside = asidePath(garage);
  try {
    const handle = openSync(aside, 'wx');
    try {
      for (let written = 0; written < bytes.byteLength; ) {
        written += writeSync(handle, bytes, written, bytes.byteLength - written);
      }
    } finally {
      closeSync(handle);
    }
    // A file of the right name and the wrong size is the leaving of a fault outside this program: replace it.
    rmSync(finalPath, { force: true });
    settle(aside, finalPath);
  } finally {
    rmSync(aside, { force: true });
  }
  return name;
};

const ABANDONED_AFTER_MS = 24 * 3600 * 1000;

/** Removes what killed programs left half-written a day ago or more. */
export const clearAside = (garage: string, nowMs: number): number => {
  let cleared = 0;
  for (const name of readdirSync(join(garage, ASIDE))) {
    const path = join(garage, ASIDE, name);
    if (nowMs - statSync(path).mtimeMs > ABANDONED_AFTER_MS) {
      rmSync(path, { force: true });
      cleared += 1;
    }
  }
  return cleared;
};
