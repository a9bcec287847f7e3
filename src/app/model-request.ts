import { type Build, type ResolvedBuild, resolveBuild } from '../car/index.ts';
import type { Conditions } from '../match/index.ts';

/** What the model is asked: a build in some air. */
export interface ModelRequest {
  readonly build: Build;
  readonly conditions: Conditions;
}

let kept: { readonly key: string; readonly resolved: ResolvedBuild } | null = null;

/** A build made whole; the last one is kept, since a worker gets the same build with each share and fits its map once. */
export const resolvedOf = (build: Build): ResolvedBuild => {
  const key = JSON.stringify(build);
  if (kept?.key !== key) kept = { key, resolved: resolveBuild(build) };
  return kept.resolved;
};
