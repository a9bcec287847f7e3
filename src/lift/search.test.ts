import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Build, resolveBuild } from '../car/index.ts';
import { ledgerContext, ledgerSample, partsOf } from '../match/index.ts';
import { commonNumbers } from './common-numbers.ts';
import { AS_FITTED, type Choice, fitParts, priceOf } from './fit.ts';
import { DAY, demoBuild, demoOptions, someOptions } from './fixtures.testing.ts';
import { nonDominated } from './front.ts';
import type { PartOptions } from './options.ts';
import { keptInside, searchLift } from './search.ts';
import { sureAt } from './search-plan.ts';

/** Every choice of every place, by plain recursion. */
const everyChoice = (options: PartOptions, place = 0): Choice[] =>
  place === options.places.length
    ? [[]]
    : [AS_FITTED, ...options.places[place]!.options.keys()].flatMap((option) =>
        everyChoice(options, place + 1).map((rest) => [option, ...rest]),
      );

/** Power at the first limit of one set, sample by sample, straight from the ledger of the whole fitted build. */
const plainPowersW = (build: Build, options: PartOptions, choice: Choice, samples: number): number[] => {
  const fitted = fitParts(build, options, choice);
  if (!fitted.ok) throw new Error(JSON.stringify(fitted.problems));
  const resolved = resolveBuild(fitted.build);
  const context = ledgerContext(resolved, DAY);
  const rows = partsOf(resolved.car, context.typed);
  const carAt = commonNumbers(resolveBuild(build), samples, 1).carsOf(resolved);
  const kept = keptInside(options);
  return Array.from({ length: samples }, (_, index) => {
    const sample = ledgerSample(carAt(index), context);
    const deciding = sample.parts.filter(
      ({ levelAtLimit }, row) => levelAtLimit !== null && (rows[row]!.counts || kept.includes(rows[row]!.part)),
    );
    const first = deciding.sort((a, b) => a.levelAtLimit! - b.levelAtLimit!)[0];
    return first?.powerAtLimitW ?? sample.mostPowerW;
  });
};

/** The front by definition: a set stays when no other is at least as good in both and better in one. */
const frontByDefinition = (sets: readonly { price: number; sure: number }[]) =>
  sets
    .filter(
      (one) =>
        !sets.some(
          (other) =>
            other.price <= one.price && other.sure >= one.sure && (other.price < one.price || other.sure > one.sure),
        ),
    )
    .map(({ price, sure }) => `${price} ${sure.toFixed(3)}`);

describe('the front of price against merit', () => {
  const items = fc.array(
    fc.record({ price: fc.integer({ min: 0, max: 12 }), merit: fc.integer({ min: 0, max: 12 }) }),
    {
      maxLength: 40,
    },
  );

  test('holds exactly the sets that no other beats', () => {
    fc.assert(
      fc.property(items, (all) => {
        const byDefinition = new Set(frontByDefinition(all.map(({ price, merit }) => ({ price, sure: merit }))));
        const swept = nonDominated(all).map(({ price, merit }) => `${price} ${merit.toFixed(3)}`);
        expect(new Set(swept)).toEqual(byDefinition);
        expect(swept).toHaveLength(byDefinition.size);
      }),
    );
  });
});

describe('a search in which every set is solved', () => {
  const build = demoBuild('wren-as-driven');
  const options = someOptions(demoOptions('wren'), ['injectors', 'charge cooler', 'clutch', 'airflow meter']);
  const samples = 8;
  const chance = 0.75;
  const plain = everyChoice(options).map((choice) => {
    const powers = plainPowersW(build, options, choice, samples);
    return { choice, price: priceOf(options, choice), powers, sure: sureAt(powers, chance) };
  });
  // A power that some of the sets reach and some do not.
  const rising = plain.map(({ sure }) => sure).sort((a, b) => a - b);
  const aim = { targetPowerW: rising[Math.floor(0.7 * rising.length)]!, chance };
  const found = searchLift(build, options, DAY, aim, { samples });
  if (!found.ok) throw new Error(found.reason);
  const { search } = found;

  test('gives the front that brute force gives', () => {
    expect(search.counts).toEqual({ sets: 24, withFigures: 24, exact: true, samples });
    const own = search.front.map(({ price, surePowerW }) => `${price} ${surePowerW.toFixed(3)}`);
    expect(own).toEqual(
      [...new Set(frontByDefinition(plain))].sort((a, b) => Number.parseFloat(a) - Number.parseFloat(b)),
    );
    expect(own.length).toBeGreaterThan(2);
  });

  test('answers the cheapest set that brute force finds, with its chance', () => {
    const reach = (powers: readonly number[]) => powers.filter((power) => power >= aim.targetPowerW).length / samples;
    const cheapest = plain.filter(({ powers }) => reach(powers) >= aim.chance).sort((a, b) => a.price - b.price)[0];
    expect(search.outcome.reached).toBe(true);
    if (!search.outcome.reached || !cheapest) return;
    expect(search.outcome.cheapest.price).toBe(cheapest.price);
    expect(search.outcome.cheapest.chanceOfTarget).toBeGreaterThanOrEqual(aim.chance);
    expect(search.outcome.cheapest.first.length).toBeGreaterThan(0);
  });

  test('says how far the best goes where nothing reaches the target', () => {
    const far = searchLift(build, options, DAY, { targetPowerW: 900e3, chance: 0.5 }, { samples });
    if (!far.ok) throw new Error(far.reason);
    const { outcome } = far.search;
    expect(outcome).toMatchObject({ reached: false, reason: 'no set reaches the target' });
    if (outcome.reached) return;
    const most = Math.max(...plain.map(({ powers }) => sureAt(powers, 0.5)));
    expect(outcome.best?.surePowerW).toBeCloseTo(most, 3);
    expect(outcome.shortW).toBeCloseTo(900e3 - most, 3);
  });

  test('same seed, same answer; another seed, another', () => {
    expect(searchLift(build, options, DAY, aim, { samples })).toEqual(found);
    expect(searchLift(build, options, DAY, aim, { samples, seed: 2 })).not.toEqual(found);
  });
});

test('one more option never makes the best worse', () => {
  const build = demoBuild('wren-as-driven');
  const all = demoOptions('wren');
  const places = all.places.map(({ place }) => place).filter((place) => place !== 'turbocharger');
  const aim = { targetPowerW: 165e3, chance: 0.75 };
  const priceAt = (options: PartOptions) => {
    const found = searchLift(build, options, DAY, aim, { samples: 4 });
    if (!found.ok) throw new Error(found.reason);
    const { outcome, front } = found.search;
    return { price: outcome.reached ? outcome.cheapest.price : Number.POSITIVE_INFINITY, front };
  };
  fc.assert(
    fc.property(fc.subarray(places, { minLength: 2, maxLength: 4 }), fc.nat(), (some, which) => {
      const more = someOptions(all, some);
      const dropped = which % more.places.length;
      const place = more.places[dropped]!;
      const fewer: PartOptions = {
        ...more,
        places:
          place.options.length > 1
            ? more.places.map((one) => (one === place ? { ...one, options: one.options.slice(1) } : one))
            : more.places.filter((one) => one !== place),
      };
      const [before, after] = [priceAt(fewer), priceAt(more)];
      expect(after.price).toBeLessThanOrEqual(before.price);
      for (const { price, surePowerW } of before.front) {
        const best = Math.max(...after.front.filter((set) => set.price <= price).map((set) => set.surePowerW));
        expect(best).toBeGreaterThanOrEqual(surePowerW - 1e-6);
      }
    }),
    { numRuns: 8, seed: 7 },
  );
}, 240_000);

test('screening and narrowing lose little of the exact front', () => {
  const build = demoBuild('otter-as-driven');
  const places = ['injectors', 'turbocharger', 'charge cooler', 'fuel', 'clutch', 'pressure sensor'];
  const all = someOptions(demoOptions('otter'), places, 2);
  const options = {
    ...all,
    places: all.places.map((place) =>
      place.place === 'fuel' || place.place === 'charge cooler'
        ? { ...place, options: place.options.slice(0, 1) }
        : place,
    ),
  };
  const aim = { targetPowerW: 250e3, chance: 0.8 };
  const at = (effort: object) => {
    const found = searchLift(build, options, DAY, aim, { samples: 16, effort: { narrowing: 8, ...effort } });
    if (!found.ok) throw new Error(found.reason);
    return found.search;
  };
  const exact = at({});
  const staged = at({ figuresMost: 16 * 7 });
  expect([exact.counts.exact, staged.counts.exact]).toEqual([true, false]);
  expect(staged.counts.withFigures).toBeLessThan(0.7 * exact.counts.withFigures);
  expect(exact.front.length).toBeGreaterThan(4);
  for (const { price, surePowerW } of exact.front) {
    const best = Math.max(...staged.front.filter((set) => set.price <= price).map((set) => set.surePowerW));
    // 1 % of power is below what the samples themselves leave open.
    expect(best).toBeGreaterThan(0.99 * surePowerW);
  }
}, 240_000);

test('a file that makes too many sets is refused with their number', () => {
  const [place] = demoOptions('wren').places;
  const option = place!.options[0]!;
  const fields = [
    'injectorFlow',
    'injectorDeadTime',
    'railPressure',
    'smallestPulse',
    'pumpFlow',
    'pumpVoltageExponent',
  ];
  const places = fields.map((name) => ({
    place: name,
    options: Array.from({ length: 9 }, (_, index) => ({ ...option, name: `${index}` })),
  }));
  const found = searchLift(demoBuild('wren-as-driven'), { ...demoOptions('wren'), places }, DAY, {
    targetPowerW: 1,
    chance: 1,
  });
  expect(found).toEqual({ ok: false, reason: 'too many sets', sets: 1e6 });
});
