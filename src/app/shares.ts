/** The samples of one question shared between workers: the same numbers come out however they are shared. */

export interface Share {
  readonly samples: number;
  readonly from: number;
  /** Not counted. */
  readonly to: number;
}

/** Seed of every answer: the same request gives the same answer. */
export const SEED = 1;

/** Shares a question is cut into at least: a few per worker, so that none waits long for the other. */
const SHARES = 4;
/** Most samples in a share: some third of a second of ledgers, so that progress is seen and a cancel is heard. */
const MOST = 64;
/** Fewer samples than this are not worth a share of their own. */
const LEAST = 8;

/** Cuts `samples` into shares of nearly equal size, in order. */
export const sharesOf = (samples: number): Share[] => {
  const shares = Math.max(1, Math.min(Math.max(SHARES, Math.ceil(samples / MOST)), Math.floor(samples / LEAST)));
  return Array.from({ length: shares }, (_, i) => ({
    samples,
    from: Math.round((i * samples) / shares),
    to: Math.round(((i + 1) * samples) / shares),
  }));
};
