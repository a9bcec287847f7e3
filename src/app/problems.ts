/** What a shell tells a person when something they gave cannot be used. */
import { GarageProblem } from '../garage/index.ts';

export interface ProblemAt {
  /** Where, like `body.mass.value`. */
  readonly path: string;
  readonly says: string;
}

/** Something given from outside cannot be used: `message` is one sentence, `problems` names each place in a file. */
export class BadInput extends Error {
  readonly code: string;
  readonly problems: readonly ProblemAt[];

  constructor(code: string, says: string, problems: readonly ProblemAt[] = []) {
    super(says);
    this.name = 'BadInput';
    this.code = code;
    this.problems = problems;
  }
}

/** A problem that its reader can mend, as opposed to a fault of ours. */
export interface Refusal {
  readonly code: string;
  readonly says: string;
  readonly problems: readonly ProblemAt[];
}

/** The refusal in an error, or null when the error is our own fault. */
export const refusalOf = (error: unknown): Refusal | null => {
  if (error instanceof BadInput) return { code: error.code, says: error.message, problems: error.problems };
  if (error instanceof GarageProblem) return { code: error.code, says: error.message, problems: [] };
  return null;
};
