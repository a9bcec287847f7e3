import { describe, expect, test } from 'vitest';
import { compareLift } from './compare.ts';
import { pairShard } from './compare-samples.ts';
import { fitParts } from './fit.ts';
import { DAY, demoBuild, demoOptions } from './fixtures.testing.ts';
import type { Gain } from './types.ts';

const width = ({ p10, p90 }: { p10: number; p90: number }) => p90 - p10;
const samples = 32;

describe('a build compared with itself', () => {
  const build = demoBuild('wren-as-driven');
  const same = compareLift(build, build, DAY, { samples, options: demoOptions('wren') });

  test('gains nought with a band of nought, changes nothing, costs nothing', () => {
    const gains: Gain[] = [
      same.powerW,
      same.torqueNm,
      same.powerAtFirstLimitW,
      ...(same.boostArrivalRpm ? [same.boostArrivalRpm] : []),
      ...same.curve.flatMap(({ torqueNm, boostPa }) => [torqueNm, boostPa]),
    ];
    expect(gains.length).toBeGreaterThan(20);
    for (const { gain } of gains) expect(gain).toEqual({ p10: 0, p50: 0, p90: 0 });
    for (const { useGain } of same.parts) expect(useGain).toEqual({ p10: 0, p50: 0, p90: 0 });
    expect(same.changes).toEqual([]);
    expect(same.facts).toEqual([]);
    expect(same.regressions).toEqual([]);
    expect(same.cost).toEqual({ currency: 'EUR', total: 0, items: [], unpriced: [] });
  });

  test('while its own figures keep their bands', () => {
    expect(width(same.powerW.before)).toBeGreaterThan(1000);
    expect(same.powerW.after).toEqual(same.powerW.before);
  });
});

describe('larger injectors and pump', () => {
  const before = demoBuild('otter-as-driven');
  const after = demoBuild('otter-fuel');
  const options = demoOptions('otter');
  const compared = compareLift(before, after, DAY, { samples, options });

  test('change nothing that the air does: power at the same boost stays to the watt', () => {
    expect(compared.powerW.gain).toEqual({ p10: 0, p50: 0, p90: 0 });
    expect(compared.torqueNm.gain).toEqual({ p10: 0, p50: 0, p90: 0 });
  });

  test('give injectors and pump more room, by the ratio of their flows', () => {
    const pump = compared.parts.find(({ part }) => part === 'fuel pump');
    // The same fuel from a pump of 255 instead of 165 L/h: use falls by that ratio (definition of use).
    const ratio = (pump?.after?.utilisation.p50 ?? 0) / (pump?.before?.utilisation.p50 ?? 1);
    expect(ratio).toBeGreaterThan(0.93 * (165 / 255));
    expect(ratio).toBeLessThan(1.07 * (165 / 255));
    const injectors = compared.parts.find(({ part }) => part === 'injectors');
    expect(injectors?.useGain?.p90).toBeLessThan(0);
  });

  test('move the first limit on, with its chance, and price what was bought', () => {
    // Lifting a limit cannot bring the first one nearer, in no sample.
    expect(compared.powerAtFirstLimitW.gain.p10).toBeGreaterThanOrEqual(0);
    expect(compared.powerAtFirstLimitW.gain.p90).toBeGreaterThan(0);
    expect(compared.first.before.map(({ part }) => part)).toContain('injectors');
    expect(compared.first.after.map(({ part }) => part)).not.toContain('injectors');
    // 360 for 630 cc/min and 140 for 255 L/h in the demo file.
    expect(compared.cost).toMatchObject({ currency: 'EUR', total: 500, unpriced: [] });
    expect(compared.cost?.items.map(({ option }) => option)).toEqual(['630 cc/min', '255 L/h']);
    const gainW = compared.powerAtFirstLimitW.gain.p50;
    expect(compared.cost?.perW).toBe(gainW > 0 ? 500 / gainW : undefined);
    expect(compared.changes.map(({ follows }) => follows)).toEqual([false, false, false, false]);
  });

  test('shares of the samples put together are the whole', () => {
    const builds = { before, after, conditions: DAY };
    const all = pairShard(builds, { samples: 6, seed: 1, from: 0, to: 6 });
    const shares = [
      pairShard(builds, { samples: 6, seed: 1, from: 0, to: 4 }),
      pairShard(builds, { samples: 6, seed: 1, from: 4, to: 9 }),
    ];
    expect(shares.flat()).toEqual(all);
  });
});

describe('what gets worse is named', () => {
  const before = demoBuild('otter-as-driven');
  const options = demoOptions('otter');
  const withParts = (...names: string[]) => {
    const fitted = fitParts(
      before,
      options,
      options.places.map(({ options: all }) => all.findIndex(({ name }) => names.includes(name))),
    );
    if (!fitted.ok) throw new Error(JSON.stringify(fitted.problems));
    return fitted.build;
  };
  const kinds = (build: ReturnType<typeof demoBuild>) =>
    compareLift(before, build, DAY, { samples }).regressions.map(({ kind, part }) =>
      part ? `${kind}: ${part}` : kind,
    );

  test('a much larger turbocharger brings boost later and costs torque below it', () => {
    const found = kinds(withParts('68 mm compressor'));
    expect(found).toContain('later boost');
    expect(found).toContain('less torque');
  });

  test('large injectors make the idle pulse short', () => {
    expect(kinds(withParts('1000 cc/min'))).toEqual(
      expect.arrayContaining([expect.stringMatching(/^(past its limit|less headroom): injectors at idle$/)]),
    );
  });

  test('a fuel system lifted leaves something else first', () => {
    expect(kinds(withParts('630 cc/min', '255 L/h')).some((text) => text.startsWith('now first: '))).toBe(true);
  });
});

test('common random numbers make the band of a gain narrower than that of unrelated cars', () => {
  const before = demoBuild('otter-as-driven');
  const after = demoBuild('otter-more-boost');
  const { powerW } = compareLift(before, after, DAY, { samples: 64 });
  // Independent samples: variances add, so the difference's band is the root of the sum of squares of the two.
  const unrelated = Math.hypot(width(powerW.before), width(powerW.after));
  expect(width(powerW.gain)).toBeLessThan(0.5 * unrelated);
  expect(powerW.gain.p10).toBeGreaterThan(0);
});
