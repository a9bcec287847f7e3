/** Files that are never changed: written aside, forced to the disk, then renamed to the name of their content. */
import { createHash, randomUUID } from 'node:crypto';
import {
  closeSync,
  createWriteStream,
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
import { hostname } from 'node:os';
import { dirname, join } from 'node:path';
import { Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';

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

/** Computers may share a garage folder: who wrote a file aside is told by computer and process. */
const HOST = sha256Of(hostname()).slice(0, 12);

/** A name for a file that is still being written: whose it is, so that it can be swept when that program is gone. */
export const asidePath = (garage: string): string => join(garage, ASIDE, `${HOST}-${process.pid}-${randomUUID()}`);

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

/** Writes bytes aside and returns where; the caller settles or removes them. */
export const writeAside = (garage: string, bytes: Uint8Array): string => {
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
    return aside;
  } catch (error) {
    rmSync(aside, { force: true });
    throw error;
  }
};

/** A file that came in piece by piece and lies aside until it is kept or dropped. */
export interface ReceivedFile {
  readonly path: string;
  readonly sha256: string;
  readonly size: number;
}

/** Takes in a stream, on the disk and not in memory. Where it breaks off or `signal` ends it, nothing stays. */
export const receiveFile = async (
  garage: string,
  pieces: NodeJS.ReadableStream,
  signal?: AbortSignal,
): Promise<ReceivedFile> => {
  const path = asidePath(garage);
  const hash = createHash('sha256');
  let size = 0;
  const counted = new Transform({
    transform: (piece: Uint8Array, _encoding, next) => {
      hash.update(piece);
      size += piece.byteLength;
      next(null, piece);
    },
  });
  const file = createWriteStream(path, { flags: 'wx' });
  try {
    await pipeline(pieces, counted, file, ...(signal ? [{ signal }] : []));
  } catch (error) {
    // An opening that is still under way would make the file after it was removed.
    if (!file.closed) await new Promise<void>((closed) => file.once('close', () => closed()));
    rmSync(path, { force: true });
    throw error;
  }
  return { path, sha256: hash.digest('hex'), size };
};

/** Gives a file that lies aside the name of its content among the originals; after this returns, a power cut does not lose it. */
export const keepOriginal = (garage: string, { path, sha256, size }: ReceivedFile): void => {
  const finalPath = join(garage, ORIGINALS, sha256);
  // A file of the right name and the wrong size is the leaving of a fault outside this program: replace it.
  if (existsSync(finalPath) && statSync(finalPath).size !== size) rmSync(finalPath, { force: true });
  settle(path, finalPath);
};

const ABANDONED_AFTER_MS = 24 * 3600 * 1000;

/** A process of this computer that is still there; one that may not be asked is. */
const isAlive = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
};

/** Removes what killed programs left half-written: that of programs gone from this computer, and whatever is a day old. */
export const clearAside = (garage: string, nowMs: number): number => {
  let cleared = 0;
  for (const name of readdirSync(join(garage, ASIDE))) {
    const path = join(garage, ASIDE, name);
    const [host, pid] = name.split('-');
    const isGone = host === HOST && !isAlive(Number(pid));
    if (!isGone && nowMs - statSync(path).mtimeMs <= ABANDONED_AFTER_MS) continue;
    rmSync(path, { force: true });
    cleared += 1;
  }
  return cleared;
};

/**
 * Removes originals and samples that no run names: what an import left that was killed after its file was kept. To be
 * called while nobody else can write: files are kept under the same lock as the row that names them.
 */
export const clearOrphans = (garage: string, named: ReadonlySet<string>): number => {
  let cleared = 0;
  for (const kind of [ORIGINALS, SAMPLES]) {
    for (const name of readdirSync(join(garage, kind))) {
      const content = /^([0-9a-f]{64})(?:\.parquet)?$/.exec(name)?.[1];
      if (content === undefined || named.has(content)) continue;
      rmSync(join(garage, kind, name), { force: true });
      cleared += 1;
    }
  }
  return cleared;
};
