/** Figures to begin typing from. */
import { fromSi, isUnit } from '../../src/physics/units.ts';

/** An SI value in a unit of the sheet, as a person would type it. */
export const fromSiText = (valueSi: number, unit: string): string =>
  isUnit(unit) ? String(Number(fromSi(valueSi, unit).toPrecision(4))) : String(valueSi);
