/** What can go wrong with a garage, each as one sentence for its owner. */

export type GarageProblemCode =
  | 'garage-locked'
  | 'garage-read-only'
  | 'garage-not-a-folder'
  | 'disk-full'
  | 'garage-damaged'
  | 'garage-too-new'
  | 'not-found'
  | 'already-there'
  | 'name-taken'
  | 'newer-build';

/** Raised by the store. `message` is one sentence: what, where, what to do. */
export class GarageProblem extends Error {
  readonly code: GarageProblemCode;

  constructor(code: GarageProblemCode, says: string, cause?: unknown) {
    super(says, cause === undefined ? undefined : { cause });
    this.name = 'GarageProblem';
    this.code = code;
  }
}

const codeOf = (error: unknown): string =>
  error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : '';

/**
 * Turns an error of the file system, of SQLite or of DuckDB into a {@link GarageProblem}; anything it does not know
 * comes back unchanged, because it is our own fault and must stay visible as such.
 */
export const explain = (error: unknown, folder: string): unknown => {
  if (error instanceof GarageProblem) return error;
  const code = codeOf(error);
  const text = error instanceof Error ? error.message : String(error);
  const problem = (name: GarageProblemCode, says: string) => new GarageProblem(name, says, error);
  if (code === 'ENOSPC' || code === 'EDQUOT' || code === 'SQLITE_FULL' || /No space left on device/i.test(text)) {
    return problem(
      'disk-full',
      `The disk that holds the garage ${folder} is full; nothing was changed. Free some space and try again.`,
    );
  }
  if (code === 'SQLITE_BUSY' || code.startsWith('SQLITE_BUSY_') || code === 'SQLITE_LOCKED') {
    return problem(
      'garage-locked',
      `Another program is writing to the garage ${folder}; nothing was changed. Wait for it to finish and try again.`,
    );
  }
  if (
    code === 'EACCES' ||
    code === 'EPERM' ||
    code === 'EROFS' ||
    code.startsWith('SQLITE_READONLY') ||
    code === 'SQLITE_PERM' ||
    code.startsWith('SQLITE_CANTOPEN')
  ) {
    return problem(
      'garage-read-only',
      `The garage ${folder} cannot be written; nothing was changed. Give yourself write permission or choose another folder.`,
    );
  }
  if (code === 'ENOTDIR' || code === 'EEXIST') {
    return problem('garage-not-a-folder', `${folder} is not a folder, so it cannot be a garage; choose another place.`);
  }
  if (code.startsWith('SQLITE_CORRUPT') || code === 'SQLITE_NOTADB') {
    return problem(
      'garage-damaged',
      `The garage file in ${folder} is damaged; put back a copy of garage.sqlite (older copies lie beside it as garage.sqlite.before-...).`,
    );
  }
  return error;
};
