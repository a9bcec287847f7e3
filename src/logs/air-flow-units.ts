/** Air flow without a unit: mass flow in one of the usual units by what the engine can pump, or the frequency of its meter. */
import { fromSi, type Unit } from '../physics/units.ts';
import { type Candidate, writtenToSi } from './candidates.ts';
import { type Answer, ask, firstOf, readsFromTo } from './questions.ts';
import { quantileOf } from './sampling.ts';
import { isCustomary, ofFamily, settle, together } from './unit-habits.ts';

/** Specific gas constant of dry air [J/(kg K)], ISO 2533:1975. */
const AIR_GAS_CONSTANT = 287.05;

/** Engine displacement times volumetric efficiency [m3] that a log's air flow and manifold pressure imply, by the speed-density equation for four strokes (Heywood 1988, eq. 2.27). */
const pumpedVolumeM3 = (airKgPerS: number, rpm: number, manifoldPa: number, chargeK: number): number =>
  (airKgPerS * 120 * AIR_GAS_CONSTANT * chargeK) / (rpm * manifoldPa);

/** Litres [L] between which road engines pump by the speed-density equation, VE counted in; common practice, no source. */
const PUMPED_L = [0.7, 5.5] as const;
const USUAL_PUMPED_L = 1.9;

/** Displacement times filling [m3] for every written unit of air flow, or null where the log does not tell. */
const pumpedPerWritten = (flow: Candidate, candidates: readonly Candidate[], barometerPa: number): number | null => {
  const engine = candidates.find(({ channel }) => channel === 'engine-speed');
  const manifold = candidates.find(({ channel, unit }) => channel === 'manifold-pressure' && unit);
  if (!engine || !manifold) return null;
  const { a, b } = together(flow, engine);
  const paired = together(flow, manifold);
  const seen: number[] = [];
  const size = Math.min(a.length, paired.b.length);
  // Rows where both partners have been seen end alike: walk them from the end.
  for (let i = 1; i <= size; i += 3) {
    const rpm = b[b.length - i]!;
    const pressurePa =
      writtenToSi(manifold, paired.b[paired.b.length - i]!) + (manifold.reference === 'gauge' ? barometerPa : 0);
    if (rpm < 1200 || pressurePa < 45e3) continue;
    seen.push(pumpedVolumeM3(a[a.length - i]!, rpm, pressurePa, 310));
  }
  const perUnit = quantileOf(seen, 0.5);
  return perUnit !== null && perUnit > 0 ? perUnit : null;
};

/** A meter's frequency idles at hundreds of hertz and rises a few times only; a mass flow rises tenfold and more (common practice, no source). */
const looksLikeFrequency = ({ marks }: Candidate): boolean =>
  marks.low > 300 && marks.high > 1000 && marks.high < 20_000 && marks.high < 15 * marks.low;

export const guessAirFlow = (candidates: readonly Candidate[], barometerPa: number): void => {
  for (const flow of ofFamily(candidates, 'mass flow')) {
    if (flow.unit) continue;
    const customary = isCustomary(candidates);
    const options: Unit[] = customary ? ['lb/min', 'g/s', 'kg/h', 'kg/s'] : ['g/s', 'kg/h', 'lb/min', 'kg/s'];
    const perUnit = pumpedPerWritten(flow, candidates, barometerPa);
    const litresIn = (unit: Unit): number => (perUnit! / fromSi(1, unit)) * 1e3;
    const isPumped = (unit: Unit): boolean =>
      perUnit !== null && litresIn(unit) >= PUMPED_L[0] && litresIn(unit) <= PUMPED_L[1];
    const asFlow = options.slice(0, 3).map((one): Answer => ({ says: `a flow in ${one}`, settles: { unit: one } }));
    if (!flow.chosen && looksLikeFrequency(flow) && !options.some(isPumped)) {
      flow.channel = 'air-flow-frequency';
      settle(flow, 'Hz', 0.75, 'read as the frequency of the meter by its range');
      ask([flow], 'open', `${readsFromTo([flow])} is an airflow meter without a unit.`, [
        { says: 'the frequency of the meter in Hz', settles: { channel: 'air-flow-frequency', unit: 'Hz' } },
        ...asFlow.map(({ says, settles }) => ({ says, settles: { ...settles, channel: 'air-flow' as const } })),
      ]);
      continue;
    }
    let unit = options[0]!;
    let [factor, reason] = [0.8, 'as is usual'];
    // Of the units that fit, the one nearest to a usual engine, with the file's habit ahead.
    const miss = (option: Unit): number =>
      Math.abs(Math.log(litresIn(option) / USUAL_PUMPED_L)) +
      (isPumped(option) ? 0 : 3) +
      options.indexOf(option) * 0.35;
    if (perUnit !== null) {
      unit = options.reduce((best, option) => (miss(option) < miss(best) ? option : best));
      [factor, reason] = [0.92, 'by what the engine can pump'];
    }
    settle(flow, unit, factor, `read as ${unit} ${reason}`);
    const rivals = options
      .slice(0, 3)
      .filter((one) => perUnit === null || (isPumped(one) && miss(one) < miss(unit) + 1));
    if (rivals.some((one) => one !== unit)) {
      const others = firstOf(unit, rivals).map((one) => asFlow.find(({ settles }) => settles.unit === one));
      ask(
        [flow],
        'open',
        `${readsFromTo([flow])} is an air flow without a unit${perUnit === null ? '' : ', and an engine could pump as much in more than one'}.`,
        others.filter((one) => one !== undefined),
      );
    }
  }
};
