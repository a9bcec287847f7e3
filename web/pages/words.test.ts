/** What the sheets say in words: order, sentences, numbers of findings. Units by NIST SP 811 as in state/units.test.ts. */
import { describe, expect, it } from 'vitest';
import type { HeadroomView, PartHeadroomView } from '../../src/app/api.ts';
import { momentWriter } from '../../src/logs/clock-words.ts';
import type { Finding } from '../../src/review/types.ts';
import { METRIC_UNITS, makeUnits, US_UNITS } from '../state/units.ts';
import { headline, idInWords, inOrder, letterOf, needsInWords, numberInWords, saysInUnits } from './finding-words.ts';
import { boostAtPower, givenOut, ledgerData, ledgerSentence, powerAtBoost } from './ledger-data.ts';
import { outFirst, rowName } from './part-marks.ts';

const metric = makeUnits(METRIC_UNITS, null);
const us = makeUnits(US_UNITS, null);
const band = (p50: number, half: number) => ({ p10: p50 - half, p50, p90: p50 + half });

const part = (name: PartHeadroomView['part'], used: number, atW?: number, boostPa?: number): PartHeadroomView => ({
  part: name,
  limit: 'limit',
  demand: used,
  rating: 1,
  unit: '1',
  utilisation: band(used, 0.05),
  worstEngineSpeedRpm: 6000,
  dependsOnBoost: true,
  decides: true,
  chanceFirst: 0,
  lift: [],
  ...(atW === undefined ? {} : { powerAtLimitW: band(atW, 10e3) }),
  ...(boostPa === undefined ? {} : { boostAtLimitPa: band(boostPa, 5e3) }),
});
const view = (parts: PartHeadroomView[]): HeadroomView => ({
  schema: 'boostwright.headroom/1',
  buildId: 'b',
  conditions: { ambientPressurePa: 101325, ambientTemperatureK: 288.15, relativeHumidity: 0 },
  parts,
  measureNext: [],
  uncertainty: [],
  powerNowW: band(200e3, 8e3),
  boostNowPa: band(100e3, 3e3),
  problems: [],
  samples: 500,
  cautions: [],
});

describe('the ledger in words', () => {
  const data = ledgerData(
    view([part('injectors', 0.9, 220e3, 120e3), part('clutch', 0.8, 240e3, 140e3), part('piston speed', 0.9)]),
  );
  it('says what gives out first, how far off, and what then', () => {
    expect(ledgerSentence(data, metric)).toBe(
      'First to give out: injectors, at 220 kW ±10; 20 kW from here. Then clutch, at 240 kW ±10.',
    );
  });
  it('names first what is past its limit whatever the boost', () => {
    const past = ledgerData(view([part('injectors', 0.9, 220e3, 120e3), part('tyres, gear 1', 1.4)]));
    expect(ledgerSentence(past, metric)).toBe(
      'Past its limit now: tyres, 1st gear. Next to give out: injectors, at 220 kW ±10; 20 kW from here.',
    );
    expect(outFirst(past.view.parts).map((row) => rowName(row.part))).toEqual(['Tyres, 1st gear', 'Injectors']);
  });
  it('says so when nothing does', () => {
    expect(ledgerSentence(ledgerData(view([part('clutch', 0.5)])), metric)).toContain('No part gives out within reach');
  });
  it('goes from power to boost and back', () => {
    expect(boostAtPower(data, 230e3)).toBeCloseTo(130e3, 6);
    expect(powerAtBoost(data, boostAtPower(data, 231e3))).toBeCloseTo(231e3, 6);
    expect(givenOut(data, 230e3)).toEqual(['Injectors']);
  });
});

describe('findings in words', () => {
  const finding = (id: Finding['id'], severity: Finding['severity'], startS: number): Finding => ({
    id,
    severity,
    confidence: 0.9,
    startS,
    endS: startS + 1,
    channels: [],
    numbers: {},
    says: id,
    couldAlsoBe: [],
    next: '',
    source: '',
  });
  it('puts the worst first, then the earlier', () => {
    const order = inOrder([
      finding('knock', 'watch', 1),
      finding('lean-under-load', 'stop', 9),
      finding('boost-leak', 'stop', 4),
    ]);
    expect(order.map(({ id }) => id)).toEqual(['boost-leak', 'lean-under-load', 'knock']);
  });
  it.each([
    ['droopPa', 39000, 'Droop', '0.39 bar'],
    ['engineSpeedRpm', 6307, 'Engine speed', '6,307 rpm'],
    ['overK', 6, 'Over', '6.0 °C'],
    ['chargeTemperatureK', 325.15, 'Charge temperature', '52 °C'],
    ['missingShare', 0.17, 'Missing share', '17 %'],
    ['retardDeg', 2.5, 'Retard', '2.5 °'],
    ['lambda', 0.959, 'Lambda', '0.959'],
    ['count', 12, 'Count', '12'],
  ])('reads %s off its key', (key, value, name, text) => {
    expect(numberInWords(key, value, metric)).toEqual({ name, text });
  });
  it('follows the chosen units: 6 K are 10.8 degF', () => {
    expect(numberInWords('overK', 6, us).text).toBe('10.8 °F');
    expect(numberInWords('droopPa', 6894.757, us).text).toBe('1.0 psi');
  });
  it('says a finding in the chosen units, and as it stands where they are its own', () => {
    const finding = {
      id: 'hot-charge',
      severity: 'watch',
      confidence: 0.9,
      startS: 1,
      endS: 2,
      channels: ['charge-temperature'],
      numbers: {},
      says: 'Charge reached 77 °C, 10 K over, at 172 kPa of boost.',
      told: [
        'Charge reached ',
        { quantity: 'temperature', valueSi: 350.15, written: '77 °C' },
        ', ',
        { quantity: 'temperature-difference', valueSi: 10, written: '10 K' },
        ' over, at ',
        { quantity: 'pressure', valueSi: 172_368.9, written: '172 kPa' },
        ' of boost.',
      ],
      couldAlsoBe: [],
      next: '',
      source: '',
    } as const;
    const seconds = momentWriter({ startS: 0, endS: 20, dialect: { timeFormat: 's' } });
    // 77 degC is 170.6 degF; 25 psi is 172368.9 Pa (NIST SP 811).
    expect(saysInUnits(finding, us, seconds)).toBe('Charge reached 171 °F, 18 °F over, at 25.0 psi of boost.');
    expect(saysInUnits(finding, makeUnits({ ...METRIC_UNITS, pressure: 'kPa' }, null), seconds)).toBe(finding.says);
    const { told: _, ...plain } = finding;
    expect(saysInUnits(plain, us, seconds)).toBe(finding.says);
  });
  it('letters, counts and needs', () => {
    expect([letterOf(0), letterOf(25), letterOf(26)]).toEqual(['A', 'Z', 'AA']);
    expect(headline(0)).toBe('Nothing was found in this run');
    expect(headline(12)).toBe('12 things to know about this run');
    expect(idInWords('low-oil-pressure')).toBe('low oil pressure');
    expect(needsInWords({ id: 'charging-low', needs: ['battery-voltage', 'build: alternator'] })).toBe(
      'battery voltage, and on the build sheet: alternator',
    );
  });
});
