import { describe, expect, test } from 'vitest';
import asDriven from '../../data/demo/builds/otter-as-driven.json' with { type: 'json' };
import fuelled from '../../data/demo/builds/otter-fuel.json' with { type: 'json' };
import larger from '../../data/demo/builds/otter-larger-compressor.json' with { type: 'json' };
import boosted from '../../data/demo/builds/otter-more-boost.json' with { type: 'json' };
import { checkBuild } from './build-schema.ts';
import { compareBuilds, compareFacts } from './compare.ts';
import { resolveBuild } from './resolve.ts';

const whole = (sheet: unknown) => {
  const read = checkBuild(sheet);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return resolveBuild(read.build);
};

describe('what changed between two builds', () => {
  test('nothing between a build and itself', () => {
    expect(compareBuilds(whole(asDriven), whole(asDriven))).toEqual([]);
    expect(compareFacts(whole(asDriven), whole(asDriven))).toEqual([]);
  });

  test('the numbers typed into the planned sheet, in SI', () => {
    const changes = compareBuilds(whole(asDriven), whole(fuelled));
    expect(changes.map(({ path }) => path)).toEqual([
      'fuelSystem.injectorFlow',
      'fuelSystem.injectorDeadTime',
      'fuelSystem.injectorDeadTimePerVolt',
      'fuelSystem.pumpFlow',
    ]);
    // 445 and 630 cm3/min, written out: divided by 60 s and 10^6 cm3 per m3.
    expect(changes[0]?.fromSi).toBeCloseTo(445e-6 / 60, 15);
    expect(changes[0]?.toSi).toBeCloseTo(630e-6 / 60, 15);
  });

  test('a boost curve as one entry, also where one is typed as gauge pressure', () => {
    const boost = compareBuilds(whole(fuelled), whole(boosted)).find(({ path }) => path === 'targets.boost');
    expect(boost?.toSi).toBeGreaterThan(boost?.fromSi ?? Number.POSITIVE_INFINITY);
    const gauge = structuredClone(asDriven);
    gauge.targets.boost.values.unit = 'kPa gauge';
    gauge.targets.boost.values.values = gauge.targets.boost.values.values.map((value) => value - 101.325);
    const same = compareBuilds(whole(asDriven), whole(gauge)).find(({ path }) => path === 'targets.boost');
    expect(same?.toSi).toBeCloseTo(same?.fromSi ?? 0, 6);
  });

  test('a map that is only estimated now, and water-methanol, as facts', () => {
    expect(compareFacts(whole(asDriven), whole(larger))).toEqual(
      expect.arrayContaining([
        expect.objectContaining({ path: 'turbocharger.compressorMap', to: 'estimated from the wheel sizes' }),
        { path: 'injection', about: 'Water-methanol injection', from: 'no', to: 'yes' },
      ]),
    );
  });
});
