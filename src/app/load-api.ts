/** The shape of the answer of part load: `boostwright load --json`. Types only. */
import type { BandedLoadMap } from '../match/index.ts';

/** What was assumed of the engine because no sheet says it. */
export interface LoadAssumption {
  readonly quantity: string;
  readonly about: string;
  readonly valueSi: number;
  readonly sdSi: number;
  readonly source: string;
}

export interface LoadView extends BandedLoadMap {
  readonly schema: 'boostwright.load/1';
  readonly build: string;
  readonly assumed: readonly LoadAssumption[];
  readonly cautions: readonly string[];
}
