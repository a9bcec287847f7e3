import { expect, test } from 'vitest';
import { normalSamples } from './sampling.ts';

test('some rows of the samples are the same numbers as in all of them', () => {
  const whole = normalSamples(64, 300, 3);
  const some = normalSamples(64, 300, 3, 20, 41);
  expect(some).toEqual(whole.subarray(20 * 300, 41 * 300));
});

test('each input has the mean and spread of a standard normal number, and pairs are unrelated', () => {
  const inputs = 40;
  const normals = normalSamples(1024, inputs, 8);
  const column = (input: number) => Array.from({ length: 1024 }, (_, row) => normals[row * inputs + input]!);
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  for (let input = 0; input < inputs; input++) {
    const own = column(input);
    expect(Math.abs(mean(own))).toBeLessThan(0.01);
    expect(Math.abs(mean(own.map((z) => z * z)) - 1)).toBeLessThan(0.03);
    const other = column((input + 7) % inputs);
    // Independent columns of 1024 would scatter by 0.031; a sequence that is worse in some pair would show here.
    expect(Math.abs(mean(own.map((z, row) => z * other[row]!)))).toBeLessThan(0.15);
  }
});
