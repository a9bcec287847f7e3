/** Answers kept in memory by what was asked, so that the same question is worked out once. */

/** Keeps the answers asked for last; a failure is not kept. */
export class KeptAnswers<T> {
  readonly #most: number;
  readonly #kept = new Map<string, Promise<T>>();

  constructor(most: number) {
    this.#most = most;
  }

  /** The answer kept for `key`, or `work`'s. */
  once(key: string, work: () => Promise<T>): Promise<T> {
    let answer = this.#kept.get(key);
    if (!answer) {
      answer = work();
      answer.catch(() => this.#kept.delete(key));
    }
    // Put last: the one not asked for longest goes first.
    this.#kept.delete(key);
    this.#kept.set(key, answer);
    for (const oldest of this.#kept.keys()) {
      if (this.#kept.size <= this.#most) break;
      this.#kept.delete(oldest);
    }
    return answer;
  }
}
