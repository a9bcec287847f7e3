import { describe, expect, test } from 'vitest';
import { sampledCars } from '../match/index.ts';
import { commonNumbers } from './common-numbers.ts';
import { demoBuild, whole } from './fixtures.testing.ts';

const correlation = (a: readonly number[], b: readonly number[]): number => {
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const [ma, mb] = [mean(a), mean(b)];
  const sum = (f: (i: number) => number) => a.reduce((total, _, i) => total + f(i), 0);
  return (
    sum((i) => (a[i]! - ma) * (b[i]! - mb)) / Math.sqrt(sum((i) => (a[i]! - ma) ** 2) * sum((i) => (b[i]! - mb) ** 2))
  );
};

describe('common random numbers', () => {
  const before = whole(demoBuild('otter-as-driven'));
  const after = whole(demoBuild('otter-fuel'));
  const samples = 256;
  const common = commonNumbers(before, samples, 1);
  const indices = Array.from({ length: samples }, (_, index) => index);
  const [old, fresh] = [common.carsOf(before), common.carsOf(after)];

  test('the build before is sampled as its own ledger samples it', () => {
    const drawn = sampledCars(before, samples, 1);
    for (const index of [0, 7, 255]) expect(old(index)).toEqual(drawn.car(index));
  });

  test('what both builds share is the same in each sample', () => {
    for (const index of indices) {
      expect(fresh(index).body).toEqual(old(index).body);
      expect(fresh(index).turbocharger).toEqual(old(index).turbocharger);
      expect(fresh(index).curves).toEqual(old(index).curves);
    }
  });

  test('a changed part is as uncertain as its own data sheet says, and not with the old one', () => {
    const flow = (car: typeof old) => indices.map((index) => Math.log(car(index).fuelSystem.injectorFlowM3PerS));
    const sd = Math.sqrt(
      flow(fresh)
        .map((value) => (value - Math.log(630e-6 / 60)) ** 2)
        .reduce((sum, value) => sum + value, 0) / samples,
    );
    // 3 % is what the sheet's field gives a data-sheet injector; 256 stratified samples meet it within a few per cent.
    expect(sd).toBeGreaterThan(0.028);
    expect(sd).toBeLessThan(0.032);
    expect(Math.abs(correlation(flow(old), flow(fresh)))).toBeLessThan(0.2);
  });

  test('new parts are independent of all that was there', () => {
    const large = common.carsOf(whole(demoBuild('otter-larger-compressor')));
    const area = indices.map((index) => large(index).turbocharger.turbineEffectiveAreaM2);
    const z = sampledCars(before, samples, 1);
    for (let input = 0; input < z.inputs; input++) {
      const coordinate = indices.map((index) => z.normals[index * z.inputs + input]!);
      // 4 standard errors of a correlation of 256 independent pairs.
      expect(Math.abs(correlation(area, coordinate))).toBeLessThan(0.25);
    }
  });

  test('every input of every demo build has a place of its own, also when all of it is new', () => {
    for (const name of ['otter-more-boost', 'otter-larger-compressor', 'wren-as-driven'] as const) {
      const car = common.carsOf(whole(demoBuild(name)))(3);
      expect(Number.isFinite(car.compressorFlowScale)).toBe(true);
    }
  });

  test('sample -1 is the best estimate', () => {
    expect(fresh(-1)).toBe(after.car);
  });
});
