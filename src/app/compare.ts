/** Runs compared: logs read, a pull of each taken, every other one laid on the first. */
import type { Build } from '../car/index.ts';
import { BOOST_CONTROL_CAUTION, CORRECTION_STANDARDS } from '../physics/index.ts';
import {
  type ComparedSide,
  comparePulls,
  type Finding,
  mostAlike,
  type PullBasis,
  pullBases,
} from '../review/index.ts';
import { reviewCautions } from './cautions.ts';
import type { ComparedSideView, CompareView } from './compare-api.ts';
import { BadInput } from './problems.ts';
import { openLog, type ReadRequest } from './read-run.ts';
import { reviewedLog } from './review.ts';

export const MOST_COMPARED = 6;

export interface SideRequest extends ReadRequest {
  readonly build: Build;
  /** Names the file: sides with the same name are one log. */
  readonly logId: string;
  /** Of the kept review; found anew when absent. */
  readonly findings?: readonly Finding[];
  /** From 1; absent: the pull most like one of the others. */
  readonly pull?: number;
  readonly about: Pick<ComparedSideView, 'runId' | 'buildId' | 'buildLabel' | 'importedAt' | 'driven'>;
}

export interface CompareRequest {
  readonly sides: readonly SideRequest[];
}

const { temperatureK: KELVIN = [0, 0], dryPressurePa: DRY_PA = [0, 0] } = CORRECTION_STANDARDS['SAE J1349'].validity;
const OUTSIDE_RANGE = `SAE J1349 is stated for air of ${Math.round(KELVIN[0] - 273.15)} to ${Math.round(KELVIN[1] - 273.15)} °C and ${DRY_PA[0] / 100} to ${DRY_PA[1] / 100} hPa dry, and the air of these runs lies outside that: take its correction with care.`;

const NAMES = ['A', 'B', 'C', 'D', 'E', 'F'] as const;

interface ReadSide {
  readonly request: SideRequest;
  readonly resolved: ComparedSide['resolved'];
  readonly bases: readonly PullBasis[];
  readonly findings: readonly Finding[];
}

const readSide = (request: SideRequest): ReadSide => {
  const { log, resolved } = openLog(request);
  if (!resolved) throw new BadInput('no-build', `${request.name} is compared by its build sheet; give one.`);
  const findings = request.findings ?? reviewedLog(request).answer.findings;
  const bases = pullBases(log, request.logId, resolved, findings);
  if (bases.length === 0) {
    throw new BadInput('no-pull', `${request.name} holds no full-throttle pull, so there is nothing to compare.`);
  }
  return checked({ request, resolved, bases, findings });
};

const checked = (side: ReadSide): ReadSide => {
  const { request, bases } = side;
  if (request.pull !== undefined && !bases[request.pull - 1]) {
    throw new BadInput(
      'no-pull',
      `${request.name} has ${bases.length === 1 ? 'one pull' : `${bases.length} pulls`}; there is no pull ${request.pull}.`,
    );
  }
  return side;
};

/** Which pull of each side: as asked, else the one most like the first side's, whose own is the one most like the second's. */
const choosePulls = (sides: readonly ReadSide[]): PullBasis[] => {
  const offered = sides.map(({ request, bases }) => (request.pull === undefined ? bases : [bases[request.pull - 1]!]));
  const [first = [], second = []] = offered;
  const chosen = first[mostAlike(first, second).first]!;
  return offered.map((bases, i) => (i === 0 ? chosen : bases[mostAlike([chosen], bases).second]!));
};

const viewOf = (side: ReadSide, basis: PullBasis, index: number): ComparedSideView => ({
  name: NAMES[index] ?? String(index + 1),
  fileName: side.request.name,
  ...side.request.about,
  pull: basis.pull + 1,
  pulls: side.bases.map(({ pull, startS, endS, gears, minEngineSpeedRpm, maxEngineSpeedRpm }) => ({
    pull: pull + 1,
    startS,
    endS,
    gears,
    minEngineSpeedRpm,
    maxEngineSpeedRpm,
  })),
  barometricPressurePa: basis.air.barometricPressurePa,
  ambientTemperatureK: basis.air.ambientTemperatureK,
  findings: side.findings
    .filter(({ startS, endS, severity }) => startS <= basis.endS && endS >= basis.startS && severity !== 'note')
    .map(({ id, severity, says }) => ({ id, severity, says })),
});

/**
 * Lays pulls on each other.
 * @throws BadInput where a file is no log, has no pull, or too few or too many are given
 */
export const compareRuns = ({ sides }: CompareRequest): CompareView => {
  if (sides.length < 2 || sides.length > MOST_COMPARED) {
    throw new BadInput('bad-request', `Two to ${MOST_COMPARED} runs are compared; ${sides.length} were given.`);
  }
  const logs = new Map<string, ReadSide>();
  const read = sides.map((request) => {
    // Pulls of one run: the log is read once.
    const known = logs.get(request.logId);
    const side = known ? checked({ ...known, request }) : readSide(request);
    logs.set(request.logId, side);
    return side;
  });
  const bases = choosePulls(read);
  const word = new Set(sides.map(({ logId }) => logId)).size === 1 ? 'Pull' : 'Run';
  const compared = read.map(
    ({ resolved }, i): ComparedSide => ({ basis: bases[i]!, resolved, name: `${word} ${NAMES[i]}` }),
  );
  const comparisons = compared
    .slice(1)
    .map((side, i) => ({ first: 0, second: i + 1, ...comparePulls(compared[0]!, side) }));
  return {
    schema: 'boostwright.compare/1',
    sides: read.map((side, i) => viewOf(side, bases[i]!, i)),
    comparisons,
    cautions: [
      ...reviewCautions(read[0]!.resolved.car),
      ...(comparisons.some(({ sameAir }) => sameAir) ? [BOOST_CONTROL_CAUTION] : []),
      ...(comparisons.some(({ sameAir }) => (sameAir?.outsideRange.length ?? 0) > 0) ? [OUTSIDE_RANGE] : []),
    ],
  };
};
