/**
 * Answers that may not exist.
 *
 * A law that has no solution for what it was asked returns a typed reason, not NaN and not an exception: a caller that
 * ignores the reason does not compile. Each reason has a stable `code` for programs and a sentence for people.
 */

/** Why there is no answer. `code` is stable and in kebab case; `says` is one clear sentence. Source: house rule. */
export interface Reason {
  readonly code: string;
  readonly says: string;
}

/** A value, or the reason why there is none. */
export type Solved<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly reason: Reason };

/** What this room can refuse, with the meaning of each code. Other rooms add their own beside these. Source: house rule. */
export const PHYSICS_REASONS = {
  'input-out-of-range':
    'An input lies where the law has no meaning, such as a negative mass or a temperature below 0 K.',
  'not-finite': 'The law gives no finite number for these inputs; one of them is missing or beyond all sense.',
  'bracket-without-root': 'The function has the same sign at both ends of the interval, so no root is certain inside.',
  'no-convergence': 'The iteration did not reach its tolerance within its steps.',
  'table-malformed': 'A table has too few points, unequal columns or abscissas that do not increase.',
  'no-samples': 'There are no finite samples to take a quantile of.',
  'effectiveness-unreachable': 'The arrangement cannot reach that effectiveness however large the exchanger.',
  'work-exceeds-enthalpy': 'The flow cannot deliver that much work at any expansion ratio.',
  'fuel-leaves-soot': 'So rich that carbon would stay solid; the gas composition below that lambda is not modelled.',
  'size-unreadable': 'The text is not a tyre size designation.',
  'pump-cannot-hold-pressure': 'The pump cannot deliver any flow against that pressure at that voltage.',
} as const;

/** Codes of {@link PHYSICS_REASONS}. */
export type PhysicsReasonCode = keyof typeof PHYSICS_REASONS;

/**
 * Wraps an answer; a number that is not finite becomes the refusal `not-finite`, so that no NaN can leave as an answer.
 * Source: house rule.
 */
export const solved = <T>(value: T): Solved<T> =>
  typeof value === 'number' && !Number.isFinite(value)
    ? unsolved('not-finite', 'There is no finite answer for these inputs; check them for missing numbers.')
    : { ok: true, value };

/** Wraps a refusal; `code` is stable and kebab case, `says` a sentence for people. Source: house rule. */
export const unsolved = <T = never>(code: string, says: string): Solved<T> => ({ ok: false, reason: { code, says } });

/** Applies `transform` to an answer and passes a refusal on. Source: house rule. */
export const mapSolved = <T, U>(answer: Solved<T>, transform: (value: T) => U): Solved<U> =>
  answer.ok ? solved(transform(answer.value)) : answer;

/** Feeds an answer to a law that may itself refuse, and passes a refusal on. Source: house rule. */
export const chainSolved = <T, U>(answer: Solved<T>, next: (value: T) => Solved<U>): Solved<U> =>
  answer.ok ? next(answer.value) : answer;

/** Raised by {@link expectSolved}: a programming error, since the caller promised an answer. Source: house rule. */
export class ExpectedSolution extends Error {
  override readonly name = 'ExpectedSolution';
  readonly reason: Reason;
  constructor(reason: Reason) {
    super(`${reason.code}: ${reason.says}`);
    this.reason = reason;
  }
}

/**
 * The value of an answer that the caller knows to exist, for constants and tests only. Errors: throws
 * {@link ExpectedSolution} on a refusal. Source: house rule.
 */
export const expectSolved = <T>(answer: Solved<T>): T => {
  if (answer.ok) return answer.value;
  throw new ExpectedSolution(answer.reason);
};
