/** Small schemas that several parts of the build sheet share. */
import { z } from 'zod';
import { type Dimension, dimensionOf, isUnit, type Unit, unitsOf } from '../physics/units.ts';

export const unitOf = (...dimensions: Dimension[]) =>
  z.string().refine((unit): unit is Unit => isUnit(unit) && dimensions.includes(dimensionOf(unit)), {
    error: (issue) =>
      `expected a unit of ${dimensions.join(' or ')} (${dimensions.flatMap(unitsOf).join(', ')}), got "${String(issue.input)}"`,
  });

export const percentText = z.string().regex(/^\s*\d+(\.\d+)?\s*%\s*$/, 'expected a percentage, like "5 %"');
