/** What a build does at each engine speed, as `boostwright match --json` prints it. */
import type { Car } from '../car/index.ts';
import {
  combineMatches,
  explainAnswers,
  type MatchResult,
  mapDrawing,
  matchCar,
  POINT_ANSWERS,
  pointAnswers,
  sampledCars,
} from '../match/index.ts';
import type { MatchView } from './api.ts';
import { matchCautions } from './cautions.ts';
import { type ModelRequest, resolvedOf } from './model-request.ts';
import { SEED, type Share } from './shares.ts';

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

/** One share of the cars, solved. */
export const matchShare = ({ build, conditions, share }: ModelRequest & { readonly share: Share }): MatchResult[] => {
  const resolved = resolvedOf(build);
  const engineSpeedsRpm = matchSpeedsRpm(resolved.car);
  const drawn = sampledCars(resolved, share.samples, SEED, share.from, share.to);
  return Array.from({ length: share.to - share.from }, (_, i) =>
    matchCar(drawn.car(share.from + i), conditions, { engineSpeedsRpm }),
  );
};

/** The shares put together, in order. */
export const matchTogether = ({
  build,
  conditions,
  solved,
}: ModelRequest & { readonly solved: readonly MatchResult[] }): MatchAnswer => {
  const resolved = resolvedOf(build);
  const { car } = resolved;
  const answers = solved.map(({ points }) => pointAnswers(points));
  const uncertainty = explainAnswers(
    resolved,
    Object.fromEntries(POINT_ANSWERS.map((name) => [name, answers.map((one) => one[name])])),
    { samples: solved.length, seed: SEED },
  );
  const best = matchCar(car, conditions, { engineSpeedsRpm: matchSpeedsRpm(car) });
  return {
    schema: 'boostwright.match/1',
    build: build.name,
    ...combineMatches(best, solved, uncertainty),
    compressorMap: mapDrawing(car),
    cautions: matchCautions(car),
  };
};
