/** Derived channels: computed from others at the readings of the one that has most, the others laid between their own. */
import { fromSi, toSi } from '../physics/units.ts';
import { type ExpressionInput, readExpression } from './expression.ts';
import { KINDS, UNITLESS, unitFits } from './quantities.ts';
import { channelNamed, medianOf, resample } from './sampling.ts';
import type { Channel, ChannelChoice, ChannelName } from './types.ts';
import { readUnitText, type WrittenUnit } from './unit-text.ts';

export interface DerivedFrom {
  readonly channels: readonly Channel[];
  /** Readings of a column as they are written, or null where the file has no such column. */
  readonly columnReadings: (column: string) => Channel | null;
  readonly barometricPressurePa: number;
  /** Index that no column has. */
  readonly index: number;
}

export type DerivedResult =
  | { readonly ok: true; readonly channel: Channel }
  | { readonly ok: false; readonly says: string };

/** Added to an SI pressure to bring it from what its channel is kept as to the reference asked for [Pa]. */
const shiftTo = (
  wanted: 'gauge' | 'absolute' | undefined,
  kept: 'gauge' | 'absolute' | undefined,
  barometerPa: number,
): number =>
  wanted === undefined || kept === undefined || wanted === kept ? 0 : wanted === 'gauge' ? -barometerPa : barometerPa;

const written = (si: number, unit: WrittenUnit | null): number => (unit ? fromSi(si, unit.unit) / unit.scale : si);

/** An input's readings in the unit that the expression asks for, or the end of a sentence that says why there are none. */
const readInput = (input: ExpressionInput, from: DerivedFrom): Channel | string => {
  if (input.kind === 'column') return from.columnReadings(input.column) ?? `the file has no column "${input.column}"`;
  const channel = channelNamed(from, input.channel);
  if (!channel) return `this log has no ${input.channel}`;
  const { unit, unitText } = input;
  const { family } = KINDS[input.channel];
  if (unit ? !unitFits(unit.unit, family) : !UNITLESS.has(family)) {
    return `${unitText === '' ? 'no unit' : unitText} is no unit of ${input.channel}`;
  }
  const shift = shiftTo(unit?.reference, channel.pressureIs, from.barometricPressurePa);
  return { ...channel, values: channel.values.map((si) => written(si + shift, unit)) };
};

/** Computes the channel of a choice with an expression. `says` is the end of a sentence that begins with its name. */
export const derivedChannel = (
  choice: ChannelChoice & { readonly channel: ChannelName; readonly expression: string },
  from: DerivedFrom,
): DerivedResult => {
  const refuse = (says: string): DerivedResult => ({ ok: false, says });
  const read = readExpression(choice.expression);
  if (!read.ok) return refuse(read.says);
  const { inputs, valueAt } = read.expression;
  const readings: Channel[] = [];
  for (const input of inputs) {
    const found = readInput(input, from);
    if (typeof found === 'string') return refuse(`It cannot be computed: ${found}.`);
    readings.push(found);
  }
  const lead = readings.reduce((most, one) => (one.timesS.length > most.timesS.length ? one : most));
  const { timesS } = lead;
  const laid = readings.map((one) => (one === lead || one.timesS === timesS ? one.values : resample(one, timesS)));
  const unit = choice.unit === undefined ? null : readUnitText(choice.unit);
  const { family, staysGauge } = KINDS[choice.channel];
  const reference = choice.reference ?? unit?.reference ?? (staysGauge ? 'gauge' : 'absolute');
  const isPressure = family === 'pressure';
  const shift = isPressure ? shiftTo(staysGauge ? 'gauge' : 'absolute', reference, from.barometricPressurePa) : 0;
  const airFuel = choice.airFuelAtLambdaOne;
  const scale = unit?.airFuelRatio && airFuel ? 1 / airFuel : (unit?.scale ?? 1);
  const numbers = new Float64Array(inputs.length);
  const keptS = new Float64Array(timesS.length);
  const values = new Float64Array(timesS.length);
  let size = 0;
  for (let i = 0; i < timesS.length; i++) {
    for (let k = 0; k < numbers.length; k++) numbers[k] = laid[k]![i]!;
    const value = valueAt(numbers);
    const si = (unit ? toSi(value * scale, unit.unit) : value) + shift;
    if (!Number.isFinite(si)) continue;
    keptS[size] = timesS[i]!;
    values[size++] = si;
  }
  if (size === 0) return refuse('It gives no number at any reading of this log.');
  const times = keptS.slice(0, size);
  const steps: number[] = [];
  for (let i = 1; i < size; i += Math.max(1, Math.floor(size / 5000))) steps.push(times[i]! - times[i - 1]!);
  const stepS = medianOf(steps);
  const lost = timesS.length - size;
  return {
    ok: true,
    channel: {
      index: from.index,
      column: choice.column,
      channel: choice.channel,
      unit: choice.unit ?? '',
      ...(isPressure ? { reference, pressureIs: staysGauge ? ('gauge' as const) : ('absolute' as const) } : {}),
      confidence: 1,
      rateHz: stepS ? 1 / stepS : 0,
      timesS: times,
      values: values.slice(0, size),
      resolution: 0,
      because: `computed as ${choice.expression}${lost > 0 ? `; no value at ${lost} of ${timesS.length} readings` : ''}`,
      expression: choice.expression,
    },
  };
};
