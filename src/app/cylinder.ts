/** The cylinder at one engine speed, as `boostwright cylinder --json` prints it. */
import { resolveBuild } from '../car/index.ts';
import { cylinderAtSpeed } from '../match/index.ts';
import { matchCautions } from './cautions.ts';
import type { CylinderView } from './cylinder-api.ts';
import type { ModelRequest } from './model-request.ts';
import { BadInput } from './problems.ts';
import { SEED } from './shares.ts';

export type CylinderAnswer = Omit<CylinderView, 'buildId'> & { readonly build: string };

export interface CylinderRequest extends ModelRequest {
  /** Middle of the range where the build makes its power when left out [rpm]. */
  readonly engineSpeedRpm?: number;
  readonly samples?: number;
}

/** Cars solved for the bands when nothing is said. */
const USUAL_CYLINDER_SAMPLES = 64;

/** Share of the rev limit that is looked at when nothing is said. */
const USUAL_SPEED_SHARE = 0.65;

/** @throws BadInput where the speed is out of range or the cycle has no answer; its sentence says why. */
export const cylinderOf = ({ build, conditions, engineSpeedRpm, samples }: CylinderRequest): CylinderAnswer => {
  const resolved = resolveBuild(build);
  const limit = resolved.car.engine.revLimitRpm;
  const rpm = engineSpeedRpm ?? Math.round((USUAL_SPEED_SHARE * limit) / 100) * 100;
  if (!(rpm >= 1000 && rpm <= limit)) {
    throw new BadInput(
      'engine-speed-out-of-range',
      `The engine speed ${rpm} rpm is outside 1000 rpm to the rev limit of ${Math.round(limit)} rpm.`,
    );
  }
  const found = cylinderAtSpeed(resolved, conditions, rpm, { samples: samples ?? USUAL_CYLINDER_SAMPLES, seed: SEED });
  if (!found.ok) throw new BadInput(found.reason.code.replaceAll(' ', '-'), found.reason.says);
  return {
    schema: 'boostwright.cylinder/1',
    build: build.name,
    conditions,
    ...found.value,
    cautions: matchCautions(resolved.car),
  };
};
