/** Which part gives out first, as `boostwright headroom --json` prints it. */
import { combineSamples, type LedgerSample, ledgerContext, ledgerShard, partCurves } from '../match/index.ts';
import type { HeadroomView } from './api.ts';
import { headroomCautions } from './cautions.ts';
import { type ModelRequest, resolvedOf } from './model-request.ts';
import { SEED, type Share } from './shares.ts';

export type HeadroomAnswer = Omit<HeadroomView, 'buildId'> & { readonly build: string };

/** Cars solved for the bands when nothing is said (powers of two suit the sequence of samples). */
export const USUAL_HEADROOM_SAMPLES = 512;

/** One share of the cars, each raised to the limits of its parts. */
export const headroomShare = ({ build, conditions, share }: ModelRequest & { readonly share: Share }): LedgerSample[] =>
  ledgerShard(resolvedOf(build), conditions, { ...share, seed: SEED });

/** The shares put together, in order. */
export const headroomTogether = ({
  build,
  conditions,
  solved,
}: ModelRequest & { readonly solved: readonly LedgerSample[] }): HeadroomAnswer => {
  const resolved = resolvedOf(build);
  const { parts, ...ledger } = combineSamples(resolved, conditions, solved, { seed: SEED });
  const curves = new Map(
    partCurves(resolved.car, ledgerContext(resolved, conditions)).map(({ part, ...curve }) => [part, curve]),
  );
  return {
    schema: 'boostwright.headroom/1',
    build: build.name,
    ...ledger,
    parts: parts.map((part) => {
      const curve = curves.get(part.part);
      return curve ? { ...part, curve } : part;
    }),
    cautions: headroomCautions(resolved.car),
  };
};
