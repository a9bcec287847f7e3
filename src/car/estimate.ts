/** An estimate: a number that stands in until somebody measures or types it. */
import type { Build } from './build-schema.ts';
import type { GroupName } from './fields.ts';
import type { Source } from './quantity.ts';

/** Reads an already known or estimated SI number. */
export type Known = (group: GroupName, name: string) => number;

export interface Estimate {
  readonly group: GroupName;
  readonly name: string;
  /** SI value from what is known. */
  readonly valueSi: (known: Known, build: Build) => number;
  /** One standard deviation: relative to the value, or absolute [SI] where the value may be nought. */
  readonly relative?: number;
  readonly sdSi?: number;
  readonly why: string;
  /** A nearer way where the sheet says more; null where it does not. `typed` tells whether a path was filled in. */
  readonly better?: (known: Known, build: Build, typed: (path: string) => boolean) => Better | null;
}

export interface Better {
  readonly valueSi: number;
  readonly relative: number;
  readonly source: Source;
  readonly why: string;
}

/** One estimate; `spread` is one standard deviation, relative or absolute [SI], `why` what the sheet shows as its reason. */
export const estimate = (
  group: GroupName,
  name: string,
  valueSi: Estimate['valueSi'],
  spread: { relative: number } | { sdSi: number },
  why: string,
  better?: Estimate['better'],
): Estimate => ({ group, name, valueSi, ...spread, why, ...(better ? { better } : {}) });
