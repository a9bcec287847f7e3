/** Small schemas that several parts of the build sheet share. */
import { z } from 'zod';
import { type Dimension, dimensionOf, isUnit, type Unit, unitsOf } from '../physics/units.ts';

/** A unit of one of these dimensions; the refusal lists those that would do. */
export const unitOf = (...dimensions: Dimension[]) =>
  z.string().refine((unit): unit is Unit => isUnit(unit) && dimensions.includes(dimensionOf(unit)), {
    error: (issue) =>
      `expected a unit of ${dimensions.join(' or ')} (${dimensions.flatMap(unitsOf).join(', ')}), got "${String(issue.input)}"`,
  });

/** A percentage as text, like "5 %". */
export const percentText = z.string().regex(/^\s*\d+(\.\d+)?\s*%\s*$/, 'expected a percentage, like "5 %"');
