/** A value with its unit, its plus-minus and where it came from: the atom of the build sheet. */
import { z } from 'zod';
import { type Dimension, dimensionOf, fromSi, isUnit, spreadToSi, toSi, type Unit, unitsOf } from '../physics/units.ts';

export const SOURCES = ['measured', 'logged', 'data-sheet', 'estimate'] as const;
/** Where a value came from, best first. */
export type Source = (typeof SOURCES)[number];

/** Relative standard deviation of a value whose spread was not given (house convention, no source). */
export const DEFAULT_RELATIVE_SPREAD: Readonly<Record<Source, number>> = {
  measured: 0.01,
  logged: 0.02,
  'data-sheet': 0.05,
  estimate: 0.15,
};

/** A value as a build sheet holds it. `spread` is one standard deviation: "5 %" of the value, or "3 kPa" in a unit of its kind. */
export interface Quantity {
  readonly value: number;
  readonly unit: Unit;
  readonly source: Source;
  readonly spread?: string;
  readonly note?: string;
}

/** An uncertain value in SI: what the model computes with. */
export interface Uncertain {
  readonly valueSi: number;
  /** One standard deviation [SI]. */
  readonly sdSi: number;
  readonly source: Source;
  readonly note?: string;
}

const SPREAD_TEXT = /^\s*(?:±|\+-|\+\/-)?\s*(\d+(?:\.\d+)?(?:e-?\d+)?)\s*(.*?)\s*$/;

/**
 * One standard deviation [SI] from the text of a spread, or a sentence that says what is wrong with it.
 * "5 %" is relative to the value; anything else must be a unit of the same dimension (for temperatures a difference in K).
 */
const spreadSi = (spread: string, quantity: { value: number; unit: Unit }): number | string => {
  const match = SPREAD_TEXT.exec(spread);
  if (!match?.[1]) return `spread "${spread}" is not a number with a unit; write "5 %" or "3 ${quantity.unit}"`;
  const size = Number(match[1]);
  const unit = match[2] ?? '';
  if (unit === '%') return Math.abs(spreadToSi(quantity.value, quantity.unit)) * size * 0.01;
  if (unit === '' || unit === quantity.unit) return spreadToSi(size, quantity.unit);
  if (!isUnit(unit)) return `spread "${spread}" has an unknown unit; write "5 %" or "3 ${quantity.unit}"`;
  const differenceOf: Partial<Record<Dimension, Dimension>> = {
    temperature: 'temperature difference',
    'absolute pressure': 'pressure difference',
    'gauge pressure': 'pressure difference',
  };
  const wanted = dimensionOf(quantity.unit);
  const has = dimensionOf(unit);
  if (has !== wanted && has !== differenceOf[wanted]) {
    return `spread "${spread}" is in ${unit} but the value is in ${quantity.unit}; use units of one kind or "%"`;
  }
  return spreadToSi(size, unit);
};

/** What a field of the build sheet may hold. Limits are SI and refuse nonsense, not unusual cars. */
export interface FieldRule {
  readonly dimension: Dimension;
  readonly minSi: number;
  readonly maxSi: number;
}

/** A zod schema for one quantity: unit of the right kind, value inside the limits, spread readable. */
export const quantitySchema = ({ dimension, minSi, maxSi }: FieldRule) => {
  const units = unitsOf(dimension);
  return z
    .strictObject({
      value: z.number({ error: 'expected a number' }),
      unit: z.string().refine((unit): unit is Unit => isUnit(unit) && dimensionOf(unit) === dimension, {
        error: (issue) => `expected a unit of ${dimension} (${units.join(', ')}), got "${String(issue.input)}"`,
      }),
      source: z.enum(SOURCES, { error: `expected a source: ${SOURCES.join(', ')}` }),
      spread: z.string().optional(),
      note: z.string().max(400).optional(),
    })
    .superRefine((quantity, context) => {
      const { value, unit } = quantity;
      if (!isUnit(unit) || dimensionOf(unit) !== dimension) return;
      const valueSi = toSi(value, unit);
      if (!(valueSi >= minSi && valueSi <= maxSi)) {
        const [low, high] = [fromSi(minSi, unit), fromSi(maxSi, unit)].map((limit) => Number(limit.toPrecision(4)));
        context.addIssue({
          code: 'custom',
          path: ['value'],
          message: `expected between ${low} and ${high} ${unit}, got ${value}`,
        });
      }
      if (quantity.spread !== undefined) {
        const spread = spreadSi(quantity.spread, { value, unit });
        if (typeof spread === 'string') context.addIssue({ code: 'custom', path: ['spread'], message: spread });
      }
    });
};

/** A quantity as an uncertain SI value; a missing spread takes `defaultRelative` or the default of its source. */
export const toUncertain = (
  quantity: Quantity,
  defaultRelative?: Readonly<Partial<Record<Source, number>>>,
): Uncertain => {
  const valueSi = toSi(quantity.value, quantity.unit);
  const given = quantity.spread === undefined ? undefined : spreadSi(quantity.spread, quantity);
  const relative = defaultRelative?.[quantity.source] ?? DEFAULT_RELATIVE_SPREAD[quantity.source];
  const sdSi = typeof given === 'number' ? given : Math.abs(spreadToSi(quantity.value, quantity.unit)) * relative;
  return { valueSi, sdSi, source: quantity.source, ...(quantity.note === undefined ? {} : { note: quantity.note }) };
};
