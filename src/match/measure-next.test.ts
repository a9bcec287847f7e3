import { describe, expect, test } from 'vitest';
import { MEASURING, type ResolvedBuild } from '../car/index.ts';
import { DAY, demoCar } from './fixtures.testing.ts';
import { combineSamples, ledgerShard } from './headroom.ts';
import { explainAnswers, measureNextOf, sdOnceMeasured } from './measure-next.ts';
import { normalSamples } from './sampling.ts';
import type { AnswerName, Ledger } from './types.ts';

const wren = demoCar('wren-dozen-numbers');
const at = (resolved: ResolvedBuild, path: string) => resolved.inputs.findIndex((input) => input.path === path);

describe('by construction', () => {
  const { inputs } = wren;
  const [roll, mass] = [at(wren, 'tyres.rollingRadius'), at(wren, 'engine.indicatedEfficiency')];
  const normals = normalSamples(512, inputs.length, 9);
  const power = Array.from(
    { length: 512 },
    (_, row) => 150e3 + 3e3 * normals[row * inputs.length + roll]! + 4e3 * normals[row * inputs.length + mass]!,
  );
  const [explained] = explainAnswers(wren, { power }, { samples: 512, seed: 9 });

  test('shares are the squares of the slopes, 9 and 16 of 25', () => {
    const share = (path: string) => explained?.sensitivity.find(({ quantity }) => quantity === path)?.share ?? 0;
    expect(Math.abs(share('tyres.rollingRadius') - 9 / 25)).toBeLessThan(0.05);
    expect(Math.abs(share('engine.indicatedEfficiency') - 16 / 25)).toBeLessThan(0.05);
  });

  test('only what a garage can measure is proposed, with its name and how', () => {
    expect(explained?.measure.map(({ quantity }) => quantity)).toEqual(['tyres.rollingRadius']);
    expect(explained?.measure[0]?.name).toBe(MEASURING['tyres.rollingRadius']?.name);
    expect(explained?.measure[0]?.how).toMatch(/tape/);
  });

  test('the band once measured is that of the sum with the smaller spread (normal table: 2 x 1.2816 sd)', () => {
    const input = inputs[roll]!;
    const ratio = sdOnceMeasured(input) / input.sdSi;
    const then = 2 * 1.2816 * Math.hypot(4e3, ratio * 3e3);
    expect((explained?.measure[0]?.bandThen ?? 0) / then).toBeGreaterThan(0.93);
    expect((explained?.measure[0]?.bandThen ?? 0) / then).toBeLessThan(1.07);
  });

  test('says nothing from too few samples, or where half of the samples have no answer', () => {
    expect(explainAnswers(wren, { power: [1, 2, 3] }, { samples: 3, seed: 1 })).toEqual([]);
    const seldom = power.map((value, row) => (row % 3 === 0 ? value : null));
    expect(explainAnswers(wren, { power: seldom }, { samples: 512, seed: 9 })).toEqual([]);
    expect(measureNextOf([])).toEqual([]);
  });
});

/**
 * The proof of a proposal: pretend that it was measured (its spread as small as promised), run everything again, and see
 * whether the band is as narrow as was said.
 */
describe('by experiment', () => {
  const SAMPLES = 256;
  const run = (resolved: ResolvedBuild): Ledger =>
    combineSamples(resolved, DAY, ledgerShard(resolved, DAY, { samples: SAMPLES, seed: 1, from: 0, to: SAMPLES }), {
      seed: 1,
    });
  const answerOf = (ledger: Ledger, name: AnswerName) => {
    const found = ledger.uncertainty.find(({ answer }) => answer === name);
    if (!found) throw new Error(`no ${name}`);
    return found;
  };
  const cars = { 'wren-dozen-numbers': wren, 'otter-as-driven': demoCar('otter-as-driven') };
  const ledgers = Object.fromEntries(Object.entries(cars).map(([name, resolved]) => [name, run(resolved)]));

  test.each([
    ['wren-dozen-numbers', 'power'],
    ['wren-dozen-numbers', 'charge-temperature'],
    ['otter-as-driven', 'injector-duty'],
  ] as const)('%s, %s: band after the best measurement within 12 %% of the promise', (car, name) => {
    const resolved = cars[car];
    const before = answerOf(ledgers[car]!, name);
    const best = before.measure[0];
    if (!best) throw new Error(`nothing to measure for ${name}`);
    const inputs = resolved.inputs.map((input) =>
      input.path === best.quantity ? { ...input, sdSi: best.sdThenSi } : input,
    );
    const { band } = answerOf(run({ ...resolved, inputs }), name);
    const actual = band.p90 - band.p10;
    expect(actual).toBeLessThan(best.bandNow);
    expect(Math.abs(actual - best.bandThen) / best.bandThen).toBeLessThan(0.12);
  });

  test('every answer has its band, its shares, and nothing but finite numbers', () => {
    for (const ledger of Object.values(ledgers)) {
      expect(ledger.uncertainty.map(({ answer }) => answer)).toEqual(
        expect.arrayContaining(['power', 'boost', 'charge-temperature', 'shaft-speed', 'injector-duty', 'first-limit']),
      );
      for (const { sensitivity, rest, band } of ledger.uncertainty) {
        expect(band.p10).toBeLessThanOrEqual(band.p90);
        const sum = sensitivity.reduce((total, { share }) => total + share, rest);
        expect(sum).toBeLessThan(1.05);
        expect(Number.isFinite(sum)).toBe(true);
      }
    }
  });
});
