/** What if in words: the sentence the sheet opens with, and what changes at the hairline. */
import type { MatchPoint, MatchResult } from '../../src/match/index.ts';
import { type Units, writeNumber } from '../state/units.ts';
import type { Moved } from './what-if-knobs.ts';
import { pointAt, type WhatIf } from './what-if-solve.ts';

export interface ChangeRow {
  readonly name: string;
  readonly before: string;
  readonly after: string;
  readonly change: string;
}

/** What changes at the hairline. */
export const changesAt = (before: MatchResult, after: MatchResult, rpm: number, units: Units): ChangeRow[] => {
  const from = pointAt(before, rpm);
  const to = pointAt(after, rpm);
  if (!from || !to) return [];
  const row = (
    name: string,
    read: (point: MatchPoint) => number | null,
    write: (value: number) => string,
    writeChange: (value: number) => string,
    unit: string,
  ): ChangeRow => {
    const a = from(read);
    const b = to(read);
    const change = a === null || b === null ? null : b - a;
    const size = change === null ? '–' : writeChange(Math.abs(change));
    const nothing = /^[0.]*$/.test(size);
    return {
      name: unit === '' ? name : `${name}, ${unit}`,
      before: a === null ? '–' : write(a),
      after: b === null ? '–' : write(b),
      change: change === null ? '–' : nothing ? '0' : `${change > 0 ? '+' : '−'}${size}`,
    };
  };
  const kind = (
    name: string,
    of: 'power' | 'torque' | 'pressure' | 'temperature',
    read: (point: MatchPoint) => number,
  ) =>
    row(
      name,
      read,
      (value) => units.write(of, value),
      (value) => units.writeSpread(of, value),
      units.label(of),
    );
  const percent = (value: number) => writeNumber(100 * value, 0);
  const tenth = (value: number) => writeNumber(value, 1);
  const bar = (value: number) => units.writeSi(Math.max(value, 0), 'Pa').text;
  return [
    kind('Power', 'power', ({ powerW }) => powerW),
    kind('Torque', 'torque', ({ torqueNm }) => torqueNm),
    kind('Boost', 'pressure', ({ boostPa }) => boostPa),
    kind('Charge', 'temperature', ({ chargeTemperatureK }) => chargeTemperatureK),
    row(
      'Mixture',
      ({ lambda }) => lambda,
      (value) => units.write('mixture', value),
      (value) => units.writeSpread('mixture', value),
      units.label('mixture'),
    ),
    row('Injector duty', ({ injectorDuty }) => injectorDuty, percent, percent, '%'),
    row('Pump, share of its flow', ({ pumpFlowShare }) => pumpFlowShare, percent, percent, '%'),
    kind('Exhaust before turbine', 'temperature', ({ exhaustTemperatureK }) => exhaustTemperatureK),
    row('Timing', ({ sparkAdvanceDeg }) => sparkAdvanceDeg, tenth, tenth, '°'),
    row('Left before knock', ({ knockMarginDeg }) => knockMarginDeg, tenth, tenth, '°'),
    row(
      'Peak cylinder pressure',
      ({ peakCylinderPressurePa }) => peakCylinderPressurePa,
      bar,
      (value) => writeNumber(units.toReading('pressure', value), units.label('pressure') === 'bar' ? 1 : 0),
      units.label('pressure'),
    ),
  ];
};

/** The sentence the sheet opens with. */
export const whatIfSentence = (before: WhatIf, after: WhatIf, moved: Moved, units: Units): string => {
  const most = ({ result }: WhatIf) => result.points.reduce((high, { powerW }) => Math.max(high, powerW), 0);
  const unit = units.label('power');
  const power = `${units.write('power', most(after))} ${unit}`;
  const change = most(after) - most(before);
  const size = units.writeSpread('power', change);
  const [first] = after.parts;
  const part = first
    ? ` Nearest its limit then: ${first.part}, at ${writeNumber(100 * first.used, 0)} % of what it carries.`
    : '';
  if (Object.keys(moved).length === 0) return `As on the sheet it makes about ${power} at most.${part}`;
  const how =
    Number(size.replaceAll(',', '')) === 0
      ? 'no more and no less than now'
      : `${size} ${unit} ${change > 0 ? 'more' : 'less'} than now`;
  return `Moved like this it makes about ${power} at most, ${how}.${part}`;
};
