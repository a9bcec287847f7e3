import type { Build } from '../car/index.ts';
import type { Conditions } from '../match/index.ts';

/** What the model is asked: a build in some air. */
export interface ModelRequest {
  readonly build: Build;
  readonly conditions: Conditions;
}
