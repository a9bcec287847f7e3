/** What a build does at each engine speed, as `boostwright match --json` prints it. */
import { type Car, resolveBuild } from '../car/index.ts';
import { matchWithBands } from '../match/index.ts';
import type { MatchView } from './api.ts';
import { matchCautions } from './cautions.ts';
import { compressorView } from './compressor-view.ts';
import type { ModelRequest } from './model-request.ts';

export type MatchAnswer = Omit<MatchView, 'buildId'> & { readonly build: string };

/** Step of engine speed [rpm]: every bin centre of a reviewed pull (multiples of 250) is among them. */
const STEP_RPM = 125;
const SLOWEST_RPM = 1000;
/** Cars solved for the bands when nothing is said. */
export const USUAL_MATCH_SAMPLES = 200;

/** Multiples of {@link STEP_RPM} from a quarter of the rev limit, and the rev limit. */
export const matchSpeedsRpm = (car: Car): number[] => {
  const limit = car.engine.revLimitRpm;
  const first = Math.ceil(Math.max(SLOWEST_RPM, limit / 4) / STEP_RPM);
  const speeds: number[] = [];
  for (let n = first; n * STEP_RPM < limit; n += 1) speeds.push(n * STEP_RPM);
  return [...speeds, limit];
};

/** Solves the build with bands. Seeded: the same request gives the same answer. */
export const matchAnswer = ({ build, conditions, samples = USUAL_MATCH_SAMPLES }: ModelRequest): MatchAnswer => {
  const resolved = resolveBuild(build);
  const {
    points,
    problems,
    samples: drawn,
  } = matchWithBands(resolved, conditions, {
    samples,
    engineSpeedsRpm: matchSpeedsRpm(resolved.car),
  });
  return {
    schema: 'boostwright.match/1',
    build: build.name,
    conditions,
    points,
    problems,
    samples: drawn,
    compressorMap: compressorView(resolved.car),
    cautions: matchCautions(resolved.car),
  };
};
