import type { Build } from '../car/index.ts';
import type { Conditions } from '../match/index.ts';

/** What the model is asked: a build in some air, and how many cars to draw for the bands. */
export interface ModelRequest {
  readonly build: Build;
  readonly conditions: Conditions;
  readonly samples?: number | undefined;
}
