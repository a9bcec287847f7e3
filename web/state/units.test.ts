/** Reading units. Factors: NIST SP 811 (2008), appendix B.8: 1 psi = 6894.757 Pa, 1 hp (550 ft lbf/s) = 745.6999 W, 1 lbf ft = 1.355818 N m. */
import { describe, expect, it } from 'vitest';
import { METRIC_UNITS, makeUnits, reviveUnits, UNIT_KINDS, US_UNITS, writeNumber } from './units.ts';

const metric = makeUnits(METRIC_UNITS, null);
const us = makeUnits(US_UNITS, null);

describe('written numbers', () => {
  it('sets thousands apart and writes a real minus, but no minus nought', () => {
    expect(writeNumber(5200, 0)).toBe('5,200');
    expect(writeNumber(1234567.25, 1)).toBe('1,234,567.3');
    expect(writeNumber(-4.26, 1)).toBe('−4.3');
    expect(writeNumber(-0.001, 1)).toBe('0.0');
    expect(writeNumber(Number.NaN, 1)).toBe('–');
  });
});

describe('units', () => {
  it('reads in US units by the factors of NIST SP 811', () => {
    expect(us.write('pressure', 6894.757 * 20)).toBe('20.0');
    expect(us.write('power', 745.6999 * 300)).toBe('300');
    expect(us.write('torque', 1.355818 * 400)).toBe('400');
    expect(us.write('temperature', 373.15)).toBe('212');
  });
  it('gives a spread no offset: 5 K is 9 degF', () => {
    expect(us.writeSpread('temperature', 5)).toBe('9');
    expect(metric.writeSpread('temperature', 5)).toBe('5');
  });
  it('returns to SI what it wrote, in every unit', () => {
    for (const units of [metric, us]) {
      for (const kind of UNIT_KINDS)
        expect(units.fromReading(kind, units.toReading(kind, 321.5))).toBeCloseTo(321.5, 8);
    }
  });
  it('writes AFR only where a fuel is named, and names it', () => {
    const afr = { ...METRIC_UNITS, mixture: 'AFR' };
    expect(makeUnits(afr, null).label('mixture')).toBe('lambda');
    const petrol = makeUnits(afr, { name: 'petrol', stoichiometric: 14.7 });
    expect(petrol.label('mixture')).toBe('AFR, petrol');
    expect(petrol.write('mixture', 0.8)).toBe('11.8');
  });
  it('refuses a saved unit it does not know, quantity by quantity', () => {
    expect(reviveUnits({ pressure: 'psi', power: 'furlong' })).toEqual({ ...METRIC_UNITS, pressure: 'psi' });
    expect(reviveUnits('psi')).toBeNull();
  });
});
