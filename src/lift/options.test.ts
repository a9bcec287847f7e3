import { describe, expect, test } from 'vitest';
import { AS_FITTED, fitParts, keepAll, priceOf } from './fit.ts';
import { demoBuild, demoOptions, whole } from './fixtures.testing.ts';
import { checkPartOptions, parsePartOptions, writePartOptions } from './options.ts';

const minimal = {
  schema: 'boostwright.options/1',
  name: 'Some parts',
  currency: 'EUR',
  places: [
    {
      place: 'clutch',
      options: [
        {
          name: 'organic',
          price: 500,
          sets: { driveline: { clutchTorqueCapacity: { value: 700, unit: 'N m', source: 'data-sheet' } } },
        },
      ],
    },
  ],
};
const changed = (change: (file: typeof minimal) => unknown) => {
  const file = structuredClone(minimal);
  change(file);
  const read = checkPartOptions(file);
  return read.ok ? [] : read.problems.map(({ path, says }) => `${path}: ${says}`);
};

describe('a part options file', () => {
  test.each(['otter', 'wren'] as const)('of the demo garage (%s) is read, written and read again', (car) => {
    const options = demoOptions(car);
    expect(parsePartOptions(writePartOptions(options))).toEqual({ ok: true, options });
  });

  test('every demo option can be fitted to the demo build by itself', () => {
    for (const car of ['otter', 'wren'] as const) {
      const options = demoOptions(car);
      const build = demoBuild(car === 'otter' ? 'otter-as-driven' : 'wren-as-driven');
      options.places.forEach(({ options: all }, place) => {
        all.forEach((_, option) => {
          expect(fitParts(build, options, keepAll(options).with(place, option)).ok).toBe(true);
        });
      });
    }
  });

  test('is refused with every problem and its place', () => {
    expect(changed(() => {})).toEqual([]);
    expect(changed((file) => Object.assign(file, { schema: 'other' }))[0]).toMatch(/^schema: expected/);
    expect(changed((file) => Object.assign(file.places[0]!.options[0]!, { price: -1 }))[0]).toMatch(
      /^places\[0\]\.options\[0\]\.price: /,
    );
    expect(changed((file) => Object.assign(file.places[0]!.options[0]!, { price: 'cheap' }))[0]).toMatch(
      /expected a price as a number/,
    );
    expect(changed((file) => Object.assign(file.places[0]!.options[0]!, { sets: {} }))[0]).toMatch(
      /at least one field/,
    );
    expect(
      changed((file) => Object.assign(file.places[0]!.options[0]!.sets.driveline, { clutchTorque: {} }))[0],
    ).toMatch(/sets\.driveline: unknown entry "clutchTorque"/);
    expect(
      changed((file) =>
        Object.assign(file.places[0]!.options[0]!.sets.driveline.clutchTorqueCapacity, { unit: 'kW' }),
      )[0],
    ).toMatch(/clutchTorqueCapacity\.unit: expected a unit of torque/);
    expect(changed((file) => Object.assign(file.places[0]!.options[0]!, { replaces: ['gearbox'] }))[0]).toMatch(
      /expected a group or a field of the build sheet/,
    );
    expect(changed((file) => file.places.push(structuredClone(file.places[0]!))).join('\n')).toMatch(
      /a place "clutch" already[\s\S]*"clutch" sets it too/,
    );
    expect(changed((file) => file.places[0]!.options.push(structuredClone(file.places[0]!.options[0]!)))[0]).toMatch(
      /an option "organic" already/,
    );
  });

  test('text that is no JSON says so', () => {
    const read = parsePartOptions('{');
    expect(read.ok).toBe(false);
    if (!read.ok) expect(read.problems[0]?.says).toMatch(/not a JSON file/);
  });
});

describe('fitting parts', () => {
  const build = demoBuild('otter-as-driven');
  const options = demoOptions('otter');
  const choose = (place: string, name: string) => {
    const at = options.places.findIndex((one) => one.place === place);
    return keepAll(options).with(
      at,
      options.places[at]!.options.findIndex((one) => one.name === name),
    );
  };

  test('keeping everything is the build itself, for nothing', () => {
    expect(fitParts(build, options, keepAll(options))).toEqual({ ok: true, build });
    expect(priceOf(options, keepAll(options))).toBe(0);
    expect(keepAll(options).every((option) => option === AS_FITTED)).toBe(true);
  });

  test('what a part replaces no longer holds: the old map and shaft limit go with the old turbocharger', () => {
    const fitted = fitParts(build, options, choose('turbocharger', '60 mm compressor'));
    if (!fitted.ok) throw new Error(fitted.problems[0]?.says);
    expect(fitted.build.turbocharger.compressorMap).toBe(undefined);
    const resolved = whole(fitted.build);
    expect(resolved.car.compressorMap).toBe(null);
    expect(resolved.quantities['turbocharger.shaftSpeedLimit']?.estimated).toBe(true);
    expect(resolved.quantities['turbocharger.compressorExducer']?.valueSi).toBeCloseTo(0.06, 12);
    // The build it was fitted to stays as it was.
    expect(build.turbocharger.compressorMap?.lines.length).toBeGreaterThan(5);
  });

  test('parts that make no whole build are refused with the place', () => {
    const broken = structuredClone(options);
    const place = broken.places.find((one) => one.place === 'turbocharger')!;
    place.options = [
      {
        name: 'unknown wheels',
        price: 1,
        replaces: ['turbocharger'],
        sets: { chargeCooler: { pressureDrop: { value: 5, unit: 'kPa', source: 'estimate' } } },
      },
    ];
    const at = broken.places.indexOf(place);
    const fitted = fitParts(build, broken, keepAll(broken).with(at, 0));
    expect(fitted).toMatchObject({ ok: false, problems: [{ path: 'turbocharger' }] });
  });
});
