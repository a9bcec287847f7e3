/** Which part gives out first, as `boostwright headroom --json` prints it. */
import { resolveBuild } from '../car/index.ts';
import { headroomOf } from '../match/index.ts';
import type { HeadroomView } from './api.ts';
import { headroomCautions } from './cautions.ts';
import type { ModelRequest } from './model-request.ts';

export type HeadroomAnswer = Omit<HeadroomView, 'buildId'> & { readonly build: string };

/** Cars solved for the bands when nothing is said. */
export const USUAL_HEADROOM_SAMPLES = 500;

/** The ledger of a build. Seeded: the same request gives the same answer. */
export const headroomAnswer = ({
  build,
  conditions,
  samples = USUAL_HEADROOM_SAMPLES,
}: ModelRequest): HeadroomAnswer => {
  const resolved = resolveBuild(build);
  const ledger = headroomOf(resolved, conditions, { samples });
  return {
    schema: 'boostwright.headroom/1',
    build: build.name,
    ...ledger,
    cautions: headroomCautions(resolved.car),
  };
};
